import { within } from '../quantities/within.ts'
import type { Factor, SizingInput } from './sizing-types.ts'
import { temperatureFactor } from './temperature-factor.ts'

const DEFAULT_AGEING = {
  value: 1.25,
  source: 'IEEE 485 (as reported): 1 / 0.80, so that the battery still carries the load at 80 % of its capacity',
}

/** The caller's own margins, each checked. */
function given(input: SizingInput): Factor[] {
  return (['ageing', 'design'] as const).flatMap((name) => {
    const value = input[`${name}Factor`]
    return value === undefined ? [] : [{ name, value: within(value, `/${name}Factor`, 1, 3, '1'), source: 'given' }]
  })
}

/** Those of the caller's margins that the duty's own margin already covers. */
export function coveredByDuty(input: SizingInput): Factor[] {
  const covers = input.duty?.margin?.covers
  return given(input).filter(({ name }) => covers === 'safety' || covers === name)
}

function marginsOf(input: SizingInput): Factor[] {
  const own = given(input)
  const { duty } = input
  if (!duty?.margin) {
    const isAgeingGiven = input.ageingFactor !== undefined
    return isAgeingGiven ? own : [{ name: 'ageing', ...DEFAULT_AGEING }, ...own]
  }
  const covered = coveredByDuty(input)
  const rest = own.filter(({ name }) => covered.every((factor) => factor.name !== name))
  const { factor: value } = duty.margin
  const ofDuty: Factor = { name: 'duty-margin', value, source: `${duty.source} (${duty.certainty})` }
  return [...(product(covered) > value ? covered : [ofDuty]), ...rest]
}

/** The factors multiplied. */
export const product = (factors: readonly Factor[]) => factors.reduce((value, factor) => value * factor.value, 1)

/**
 * Factors that enlarge the battery, each purpose counted once.
 *
 * Where the duty's own margin covers what the caller asks for too, the larger of the two is kept: never below the duty,
 * never below what was asked, never both (judgement). Without a duty's margin ageing counts 1.25 unless given.
 *
 * @param input - margins as factors from 1 to 3, lowest temperature of the battery [Cel]
 * @throws DomainError QUANTITY_OUT_OF_RANGE, TEMPERATURE_BEYOND_TABLE
 * @validity a temperature above 25 Cel gives no smaller battery
 * @source ieee-485, nfpa-72, bs-5839-1, as reported by other texts
 */
export function factorsOf(input: SizingInput): Factor[] {
  const factors = marginsOf(input)
  if (input.temperatureC === undefined) return factors
  const value = Math.max(1, temperatureFactor(input.temperatureC))
  const source = 'IEEE 485 table 1, reference 25 Cel; never below 1 (cautious)'
  return [...factors, { name: 'temperature', value, source }]
}
