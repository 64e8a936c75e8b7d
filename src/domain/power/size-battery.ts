import { written } from '../quantities/derivation.ts'
import { largestWithin } from './hours-given.ts'
import { largestAllowed, recommend } from './recommend.ts'
import { factorsOf } from './sizing-factors.ts'
import { checkSizing, checkSomethingToSize, hoursOf, requiredAh, sumLoads } from './sizing-requirement.ts'
import { stepsOf } from './sizing-steps.ts'
import type { BatterySize, SizingInput } from './sizing-types.ts'
import { warningsOf } from './sizing-warnings.ts'
import { type LoadProfile, loadChargeAh } from './standby-capacity.ts'

export type * from './sizing-types.ts'

const VALIDITY =
  'Constant currents; lead-acid standby batteries at their 20 h rating. Local codes and the maker of the system decide; have fire and life-safety systems sized by a licensed person.'

const WHAT_IF_HOURS = [4, 8, 12, 24, 36, 48, 60, 72] as const

/**
 * Required capacity and next size [Ah] for other standby times, the rest unchanged.
 *
 * @param input - a sizing; its standby time is not used
 * @param hours - standby times [h]; those that ask for no battery at all are left out
 * @throws DomainError QUANTITY_OUT_OF_RANGE, TEMPERATURE_BEYOND_TABLE
 * @validity as sizeBattery
 * @source own-derivation
 */
export function whatIf(input: SizingInput, hours: readonly number[] = WHAT_IF_HOURS): BatterySize['whatIf'] {
  const factors = factorsOf(input)
  return hours.flatMap((standbyHours) => {
    const times = hoursOf({ ...input, standbyHours })
    const load = sumLoads(input.loads, times.standby, times.alarm)
    const requiredCapacityAh = requiredAh(input, load, factors)
    if (requiredCapacityAh === 0) return []
    const next = recommend(input, requiredCapacityAh, largestAllowed(input, load)).recommended
    const recommendedCapacityAh = next && next.capacityAh * next.inParallel
    const row = { standbyHours, requiredCapacityAh }
    return [recommendedCapacityAh === undefined ? row : { ...row, recommendedCapacityAh }]
  })
}

type ChangesAt = NonNullable<BatterySize['decisionChangesAt']>

/** How far standby current and standby time may rise before another size is needed. */
function decisionChangesAt(size: number, load: LoadProfile, at: (changes: Partial<LoadProfile>) => number): ChangesAt {
  return {
    standbyCurrentA: largestWithin(size, load.standbyCurrentA, (standbyCurrentA) => at({ standbyCurrentA })),
    standbyHours: largestWithin(size, load.standbyDurationHours, (standbyDurationHours) =>
      at({ standbyDurationHours }),
    ),
  }
}

function wouldChange(changesAt: ChangesAt | undefined, requiredAh: number, allowedAh: number | undefined): string[] {
  if (changesAt)
    return [
      `The size holds up to ${written(changesAt.standbyCurrentA)} A of standby current, or up to ${written(changesAt.standbyHours)} h of standby.`,
    ]
  const limit = allowedAh === undefined ? '' : ` The limits allow ${written(allowedAh)} Ah.`
  return [`Less load or a shorter standby time: ${written(requiredAh)} Ah are needed.${limit}`]
}

/**
 * Size of a standby battery with the derivation, the margins and what would change the decision.
 *
 * required = capacity by the method x product of the factors that apply; recommended = next standard size
 *
 * @param input - loads [A] by quantity, hours by duty or given, nominal voltage 6, 12 or 24 V
 * @returns capacity [Ah] unrounded, the size to take or why none will do
 * @throws DomainError QUANTITY_OUT_OF_RANGE, TEMPERATURE_BEYOND_TABLE with a pointer into the input
 * @validity lead-acid standby batteries at constant currents; not for lithium
 * @source nfpa-72, bs-5839-1, ieee-485 as their factors say
 */
export function sizeBattery(input: SizingInput): BatterySize {
  checkSizing(input)
  const hours = hoursOf(input)
  const load = sumLoads(input.loads, hours.standby, hours.alarm)
  checkSomethingToSize(load)
  const factors = factorsOf(input)
  const required = requiredAh(input, load, factors)
  const allowed = largestAllowed(input, load)
  const choice = recommend(input, required, allowed)
  const size = choice.recommended && choice.recommended.capacityAh * choice.recommended.inParallel
  const at = (changes: Partial<LoadProfile>) => requiredAh(input, { ...load, ...changes }, factors)
  const changesAt = size === undefined ? undefined : decisionChangesAt(size, load, at)
  return {
    load,
    loadChargeAh: loadChargeAh(load),
    requiredCapacityAh: required,
    factors,
    steps: stepsOf(input, load, factors, required),
    ...choice,
    ...(allowed === undefined ? {} : { largestAllowedAh: allowed }),
    warnings: warningsOf(input, load, choice.recommended),
    ...(changesAt && { decisionChangesAt: changesAt }),
    whatIf: whatIf(input),
    wouldChange: wouldChange(changesAt, required, allowed),
    validity: VALIDITY,
  }
}
