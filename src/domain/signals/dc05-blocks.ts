/** Codes that head a block; senders use them for "not specified". */
const HEADINGS = (
  '100 110 120 130 140 150 160 200 210 300 320 330 340 350 360 370 380 400 410 420 440 500 510 520 530 540 550 560 ' +
  '570 600 610 620 640 650'
).split(' ')

/**
 * Heading of the block that a code stands in: the nearest heading not above it, of the same hundred.
 *
 * @param code - three digits 0-9 or B-F
 * @returns undefined where the standard has no block, such as 9xx
 * @source dc-05 1999.09 appendix C, headings as two open lists give them
 * @example blockOf('358') // '350'
 */
export function blockOf(code: string): string | undefined {
  return HEADINGS.findLast((heading) => heading[0] === code[0] && heading <= code)
}
