import type { SignalScheme } from './signal-event.ts'

export type AddressKind =
  | 'zone'
  | 'user'
  | 'area'
  | 'condition'
  | 'device'
  | 'door'
  | 'function'
  | 'line'
  | 'line-card'
  | 'network'
  | 'number'
  | 'output'
  | 'printer'
  | 'receiver'
  | 'relay'

const split = (codes: string) => codes.split(' ')

/** Codes whose three digits count users; all others count zones. */
const DC05_USER_CODES = new Set(
  split(
    '121 313 400 401 402 403 404 405 406 407 408 409 411 412 413 414 415 421 422 424 425 429 430 431 435 436 440 441 ' +
      '442 450 451 452 453 454 455 456 457 458 459 462 463 464 466 574 604 607 625 642 652 653',
  ),
)

/** Codes whose digits count something else than zones. */
const DC03_KINDS: ReadonlyMap<string, AddressKind> = new Map(
  (
    [
      ['user', 'BC CE CF CJ CK CL CP CQ CR DA DB EE JD JH JK JP JS JT JV JX JY JZ OC OH OJ OK OL OP OQ OR OT RX'],
      ['area', 'BV CA CD CG CI CT CW FI FK JA JR NF NL NM OA OG OI'],
      ['condition', 'AA CO SC YU'],
      ['device', 'EJ EM EN ER ES ET EX'],
      ['door', 'DC DD DE DF DG DH DI DJ DK DL DM DN DO DP DQ DR DS DV DW DX DY DZ'],
      ['function', 'CX'],
      ['line', 'LR LT RT'],
      ['line-card', 'YB YD YE'],
      ['network', 'NC NR NT'],
      ['number', 'DU MI YZ'],
      ['output', 'OU OV'],
      ['printer', 'VI VO VR VT VX'],
      ['receiver', 'XH XJ XL XQ XS'],
      ['relay', 'RC RO'],
    ] as const
  ).flatMap(([kind, codes]) => split(codes).map((code) => [code, kind] as const)),
)

/**
 * What the digits after a code count.
 *
 * @validity a code that no table has is taken to count zones
 * @source dc-05 1999.09 appendix C, data type; dc-03 1990.01, as two open lists give it (not read in the standard)
 * @example addressKindOf('dc-05', '401') // 'user'
 */
export function addressKindOf(scheme: SignalScheme, code: string): AddressKind {
  if (scheme === 'dc-05') return DC05_USER_CODES.has(code) ? 'user' : 'zone'
  return DC03_KINDS.get(code) ?? 'zone'
}
