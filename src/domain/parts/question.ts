import type { Finding } from './judge.ts'

/** Unit at the end of an attribute's name, and how it is spoken. */
const UNIT_WORDS: Record<string, string> = {
  A: 'amperes',
  Ah: 'ampere-hours',
  Hz: 'hertz',
  MHz: 'megahertz',
  Mm: 'millimetres',
  Ohm: 'ohms',
  V: 'volts',
  VA: 'volt-amperes',
  Va: 'volt-amperes',
  W: 'watts',
}

/** "heightMm" as words and unit: "height in millimetres". */
function spoken(attribute: string): string {
  const unit = Object.keys(UNIT_WORDS)
    .filter((suffix) => attribute.length > suffix.length && attribute.endsWith(suffix))
    .sort((a, b) => b.length - a.length)[0]
  const name = unit === undefined ? attribute : attribute.slice(0, -unit.length)
  const words = name.replace(/([a-z0-9])([A-Z])/g, '$1 $2').toLowerCase()
  return unit === undefined ? words : `${words} in ${UNIT_WORDS[unit]}`
}

/** The question whose answer settles an unknown attribute of an item. */
export function questionFor({ attribute, required }: Finding): string {
  return `What is its ${spoken(attribute)}? Needed: ${required}.`
}
