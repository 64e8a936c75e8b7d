import { runtimeHoursPeukert1897 } from './peukert.ts'
import { runtimeHoursRateTable } from './rate-table.ts'
import { fullWells, hoursUntilEmpty, wellsAfter } from './two-well.ts'

/** A stretch of constant current; the last one goes on until the battery is empty. */
export interface Phase {
  currentA: number
  hours: number
}
/** What is left of a battery as the models see it: capacity at its rated time, already aged and cooled. */
export interface Carried {
  capacityAh: number
  ratedDurationHours: number
  exponent: number
}

export const MODELS = ['peukert-least', 'peukert-most', 'rate-table', 'two-well'] as const
export type ModelName = (typeof MODELS)[number]

/** Total time until empty [h]; why a model cannot say. */
export type Lasts = { hours: number } | { reason: 'RATE_BEYOND_TABLE' | 'RATED_AT_OTHER_TIME' }

/** Time at constant current from full, by a model that knows only that. */
type FromFull = (currentA: number) => number | undefined

/**
 * The same, and never longer than the smallest current alone would last from full: a load that is never below it takes at
 * least as much. Neither bound keeps that by itself, so that a short alarm would seem to lengthen the standby after it.
 */
function notPastSmallest(
  elapsed: number | undefined,
  phases: readonly Phase[],
  fromFull: FromFull,
): number | undefined {
  const smallest = Math.min(...phases.map(({ currentA }) => currentA))
  if (elapsed === undefined || smallest === 0) return elapsed
  return Math.min(elapsed, fromFull(smallest) ?? elapsed)
}

/**
 * Lower bound for a load that changes: what was drawn is taken off as a share, the rest lasts at the new current as that
 * share of a full battery.
 */
function byShare(phases: readonly Phase[], capacityAh: number, fromFull: FromFull): number | undefined {
  let [share, elapsed] = [1, 0]
  for (const { currentA, hours } of phases) {
    if (currentA === 0) {
      elapsed += hours
      continue
    }
    const whole = fromFull(currentA)
    if (whole === undefined) return undefined
    if (share * whole <= hours) return elapsed + share * whole
    share -= (currentA * hours) / capacityAh
    elapsed += hours
    if (share <= 0) return elapsed
  }
  return elapsed
}

/** Upper bound for a load that changes: every charge not yet drawn is still there for the next current. */
function byCharge(phases: readonly Phase[], capacityAh: number, fromFull: FromFull): number | undefined {
  let [chargeAh, elapsed] = [capacityAh, 0]
  for (const [index, { currentA, hours }] of phases.entries()) {
    const whole = currentA === 0 ? Number.POSITIVE_INFINITY : index === 0 ? fromFull(currentA) : chargeAh / currentA
    if (whole === undefined) return undefined
    if (whole <= hours) return elapsed + whole
    chargeAh -= currentA * hours
    elapsed += hours
  }
  return elapsed
}

/** No battery of a small system lasts longer; beyond it shelf loss governs. Judgement. */
const LONGEST_HOURS = 10_000

/** The wells run empty, or the rated charge has been drawn: a slow discharge gives no more than that. */
function byWells(phases: readonly Phase[], { capacityAh, ratedDurationHours }: Carried): number {
  let wells = fullWells(capacityAh, ratedDurationHours)
  let [chargeAh, elapsed] = [capacityAh, 0]
  for (const { currentA, hours } of phases) {
    const drawn = currentA === 0 ? LONGEST_HOURS : chargeAh / currentA
    const within = Math.min(hours, drawn, LONGEST_HOURS)
    const empty = hoursUntilEmpty(wells, currentA, within)
    if (empty !== undefined) return elapsed + empty
    elapsed += within
    if (within < hours) return elapsed
    wells = wellsAfter(wells, currentA, within)
    chargeAh -= currentA * within
  }
  return elapsed
}

/** Time until a battery is empty under a model [h]. */
export function lastsUnder(model: ModelName, phases: readonly Phase[], carried: Carried): Lasts {
  const { capacityAh, ratedDurationHours, exponent } = carried
  const peukert: FromFull = (currentA) => runtimeHoursPeukert1897(capacityAh, ratedDurationHours, currentA, exponent)
  if (model === 'peukert-least')
    return { hours: notPastSmallest(byShare(phases, capacityAh, peukert), phases, peukert)! }
  if (model === 'peukert-most')
    return { hours: notPastSmallest(byCharge(phases, capacityAh, peukert), phases, peukert)! }
  if (model === 'two-well') return { hours: byWells(phases, carried) }
  if (ratedDurationHours !== 20) return { reason: 'RATED_AT_OTHER_TIME' }
  const table: FromFull = (currentA) => runtimeHoursRateTable(capacityAh, currentA)
  const hours = notPastSmallest(byShare(phases, capacityAh, table), phases, table)
  return hours === undefined ? { reason: 'RATE_BEYOND_TABLE' } : { hours }
}
