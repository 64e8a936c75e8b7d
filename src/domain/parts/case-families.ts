/**
 * Cases that sealed lead-acid blocks usually come in. Common practice, no source: IEC 61056-2 standardises dimensions and
 * terminals, but its table was not read. A prior for plausibility, never a fact about an item.
 */
export interface CaseFamily {
  nominalVoltageV: number
  capacityAh: readonly number[]
  lengthMm: number
  widthMm: number
  /** Over the terminals. */
  heightMm: number
  terminals: readonly string[]
}
const family = (
  nominalVoltageV: number,
  capacityAh: readonly number[],
  [lengthMm, widthMm, heightMm]: readonly [number, number, number],
  terminals: readonly string[],
): CaseFamily => ({ nominalVoltageV, capacityAh, lengthMm, widthMm, heightMm, terminals })

const THREADED = ['M5', 'bolt-and-nut']
export const CASE_FAMILIES: readonly CaseFamily[] = [
  family(12, [1.2, 1.3], [97, 43, 58], ['F1']),
  family(12, [2.1, 2.3], [178, 35, 66], ['F1']),
  family(12, [3.2, 3.4], [134, 67, 67], ['F1']),
  family(12, [4, 4.5, 5], [90, 70, 107], ['F1', 'F2']),
  family(12, [7, 7.2, 7.5], [151, 65, 100], ['F1', 'F2']),
  family(12, [9], [151, 65, 100], ['F2', 'F1']),
  family(12, [12], [151, 98, 101], ['F2', 'F1']),
  family(12, [17, 18], [181, 77, 167], THREADED),
  family(12, [24, 26], [166, 175, 125], THREADED),
  family(6, [4, 4.5], [70, 47, 107], ['F1']),
  family(6, [12], [151, 50, 100], ['F1', 'F2']),
]

export interface Implausible {
  code: 'ATTRIBUTE_IMPLAUSIBLE'
  attribute: string
  found: number | string
  usual: readonly (number | string)[]
}

/** Makers differ by 1 to 2 mm; the height may be given over the case, which is some 6 mm less. */
const SLACK_MM = { side: 4, height: 10 }

function measureDoubts(usual: CaseFamily, values: Readonly<Record<string, unknown>>): Implausible[] {
  const [length, width, height] = ['lengthMm', 'widthMm', 'heightMm'].map((name) => values[name])
  const far = (found: unknown, one: number, slack: number) => typeof found === 'number' && Math.abs(found - one) > slack
  const isTurned =
    typeof length === 'number' && typeof width === 'number' && length < width !== usual.lengthMm < usual.widthMm
  const [wide, deep] = isTurned ? [usual.widthMm, usual.lengthMm] : [usual.lengthMm, usual.widthMm]
  const doubts: [string, unknown, number, number][] = [
    ['lengthMm', length, wide, SLACK_MM.side],
    ['widthMm', width, deep, SLACK_MM.side],
    ['heightMm', height, usual.heightMm, SLACK_MM.height],
  ]
  return doubts
    .filter(([, found, one, slack]) => far(found, one, slack))
    .map(([attribute, found, one]) => ({
      code: 'ATTRIBUTE_IMPLAUSIBLE',
      attribute,
      found: found as number,
      usual: [one],
    }))
}

/**
 * What is unusual for a sealed lead-acid block of its voltage and capacity: warnings only, never a judgement.
 *
 * @param values - attributes by the names of the part classes
 * @returns nothing where voltage or capacity is unknown or no family of cases is known for them
 * @source common practice, no source
 * @example implausibleFor({ nominalVoltageV: 12, capacityAh: 7, terminal: 'M5' })[0]!.attribute // 'terminal'
 */
export function implausibleFor(values: Readonly<Record<string, unknown>>): Implausible[] {
  const { nominalVoltageV, capacityAh, terminal } = values
  const usual = CASE_FAMILIES.find(
    (one) => one.nominalVoltageV === nominalVoltageV && one.capacityAh.some((size) => size === capacityAh),
  )
  if (!usual) return []
  const isOdd = typeof terminal === 'string' && !usual.terminals.includes(terminal)
  const doubt: Implausible[] = isOdd
    ? [{ code: 'ATTRIBUTE_IMPLAUSIBLE', attribute: 'terminal', found: terminal, usual: usual.terminals }]
    : []
  return [...measureDoubts(usual, values), ...doubt]
}
