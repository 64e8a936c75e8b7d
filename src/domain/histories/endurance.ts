import { combineEstimates, type HealthEstimate } from '../power/discharge-health.ts'
import { outageFinding } from '../power/health-evidence.ts'
import { startsOf } from './pair.ts'
import { type Lasting, medianLasting } from './survival.ts'
import { type Slope, theilSen } from './theil-sen.ts'
import type { Interval, Series } from './types.ts'

const HOUR_MS = 3_600_000
const HOURS_PER_YEAR = 8766
/** Whole outages from which a trend is taken. Judgement. */
const LEAST_WHOLE = 4
/** The latest ones are looked at. */
const MOST_OUTAGES = 200
/** Shorter and longer ones give no capacity. */
const CAPACITY_HOURS = { least: 0.01, most: 1000 }

export interface Outage extends Lasting {
  fromMs: number
  /** Time on the mains since the last outage; none for the first one [h]. */
  hoursOnMainsBefore?: number
  /** Capacity that it shows, or at least shows, at the 20 h rate [Ah]. */
  capacityAh?: number
}
export interface Endurance {
  outages: Outage[]
  /** Outages that ran down to the low-battery signal. */
  whole: number
  /** Half of the outages would last so long [h]. */
  medianHours?: number
  /** Change of the hours to the signal, in hours a year. */
  slope?: Slope
  /** From all whole outages at the stated load; two standard uncertainties either way [Ah]. */
  capacity?: { ah: number; lowAh: number; highAh: number }
  /** The most that outages without a signal have drawn [Ah]. */
  atLeastAh?: number
}
export interface BatteryLoad {
  loadCurrentA: number
  temperatureC?: number
}

/** What one outage says of the time to the signal; nothing when it has no start, or neither signal nor end. */
function outageOf({ start, end }: Interval, previous: Interval | undefined, lows: readonly number[], nextMs: number) {
  if (!start) return []
  const fromMs = start.atMs
  const toMs = end?.atMs ?? nextMs
  const low = lows.find((atMs) => atMs >= fromMs && atMs <= toMs)
  if (low === undefined && !end) return []
  const onMains = previous?.end && (fromMs - previous.end.atMs) / HOUR_MS
  return [
    {
      fromMs,
      hours: ((low ?? toMs) - fromMs) / HOUR_MS,
      isEnded: low !== undefined,
      ...(onMains !== undefined && { hoursOnMainsBefore: onMains }),
    },
  ]
}

/** Capacity by the charge drawn, through the same account as a battery's health: as a share of 1 Ah. */
function capacityOf(outage: Outage, { loadCurrentA, temperatureC = 25 }: BatteryLoad) {
  if (outage.hours < CAPACITY_HOURS.least || outage.hours > CAPACITY_HOURS.most) return undefined
  const { hoursOnMainsBefore } = outage
  return outageFinding(
    {
      loadCurrentA,
      elapsedHours: outage.hours,
      endedBy: outage.isEnded ? 'battery-low' : 'mains-restored',
      ...(hoursOnMainsBefore !== undefined && { hoursOnMainsBefore }),
    },
    { capacityAh: 1, durationHours: 20, nominalVoltageV: 12 },
    temperatureC,
    '',
  )
}

function capacityOfAll(outages: readonly Outage[], load: BatteryLoad) {
  const findings = outages.map((outage) => capacityOf(outage, load))
  const estimates = findings.flatMap((finding): HealthEstimate[] => (finding?.estimate ? [finding.estimate] : []))
  const bounds = findings.flatMap((finding) =>
    finding?.atLeastFraction === undefined ? [] : [finding.atLeastFraction],
  )
  const combined = estimates.length > 0 ? combineEstimates(estimates) : undefined
  return {
    outages: outages.map((outage, index) => {
      const capacityAh = findings[index]?.estimate?.fraction ?? findings[index]?.atLeastFraction
      return capacityAh === undefined ? outage : { ...outage, capacityAh }
    }),
    ...(combined && {
      capacity: {
        ah: combined.fraction,
        lowAh: Math.max(0, combined.fraction - 2 * combined.uncertainty),
        highAh: combined.fraction + 2 * combined.uncertainty,
      },
    }),
    ...(bounds.length > 0 && { atLeastAh: Math.max(...bounds) }),
  }
}

/**
 * How long the battery carried the system in each mains failure, and whether that shrinks.
 *
 * time from a mains loss to the low-battery signal; an outage that ends before is a lower bound
 *
 * @param mains - the mains losses of one system
 * @param low - its low-battery signals
 * @param load - current of the system [A]; without it there is no capacity
 * @returns the outages, their median, a slope from 4 whole ones on, and the effective capacity at the 20 h rate
 * @throws DomainError QUANTITY_OUT_OF_RANGE, TEMPERATURE_BEYOND_TABLE
 * @validity load and temperature differ between outages; the battery full at the start of each, which 24 h of mains before give
 * @source Kaplan and Meier (1958), Theil (1950), Kendall (1938), from memory; capacity as in battery health
 */
export function endurance(
  mains: Pick<Series, 'intervals'>,
  low: Pick<Series, 'intervals'>,
  load?: BatteryLoad,
): Endurance {
  const lows = startsOf(low).map(({ atMs }) => atMs)
  const latest = mains.intervals.slice(-MOST_OUTAGES)
  const outages: Outage[] = latest.flatMap((interval, index) =>
    outageOf(interval, latest[index - 1], lows, latest[index + 1]?.start?.atMs ?? Number.POSITIVE_INFINITY),
  )
  const whole = outages.filter(({ isEnded }) => isEnded)
  const apart = whole.filter(({ fromMs }, index) => fromMs !== whole[index - 1]?.fromMs)
  const medianHours = medianLasting(outages)
  return {
    outages,
    whole: whole.length,
    ...(medianHours !== undefined && { medianHours }),
    ...(apart.length >= LEAST_WHOLE && {
      slope: theilSen(
        apart.map(({ fromMs }) => fromMs / HOUR_MS / HOURS_PER_YEAR),
        apart.map(({ hours }) => hours),
      ),
    }),
    ...(load && capacityOfAll(outages, load)),
  }
}
