import { within } from '../quantities/within.ts'
import { betaQuantile } from './beta.ts'

/** What the engine held of one cause, and whether it was so. */
export interface Forecast {
  probability: number
  happened: boolean
}

/** Upper edges of the bins of a reliability table. Judgement: finer where most causes are. */
export const BIN_EDGES = [0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 1]
/** Probabilities nearer to 0 or 1 count as this far away in the log score, so that one surprise stays finite. */
export const LOG_CLIP = 1e-6
const LEVEL = 0.95

export interface Bin {
  from: number
  to: number
  count: number
  meanProbability: number
  happened: number
  /** Share that happened, with its exact 95 % limits. */
  share: number
  low: number
  high: number
}

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
const mean = (values: readonly number[]) => sum(values) / values.length
const brierOf = ({ probability, happened }: Forecast) => (probability - Number(happened)) ** 2

/**
 * Squared miss of the forecasts, on average: 0 is perfect.
 *
 * brier = mean of (probability - happened)^2
 *
 * @source Brier (1950), from memory
 * @example brierScore([{ probability: 0.7, happened: true }]) // 0.09000000000000002
 */
export const brierScore = (forecasts: readonly Forecast[]): number => mean(forecasts.map(brierOf))

const logOf = ({ probability, happened }: Forecast) =>
  -Math.log(Math.min(Math.max(happened ? probability : 1 - probability, LOG_CLIP), 1 - LOG_CLIP))

/**
 * Surprise of the forecasts [nat], on average: 0 is perfect.
 *
 * log score = mean of -ln(probability given to what came)
 *
 * @source Good (1952), from memory
 * @example logScore([{ probability: 0.5, happened: true }]) // 0.6931471805599453
 */
export const logScore = (forecasts: readonly Forecast[]): number => mean(forecasts.map(logOf))

function binned(forecasts: readonly Forecast[]): Forecast[][] {
  const bins: Forecast[][] = BIN_EDGES.map(() => [])
  for (const forecast of forecasts) {
    const probability = within(forecast.probability, '/probability', 0, 1, '1')
    bins[BIN_EDGES.findIndex((edge) => probability <= edge)]!.push(forecast)
  }
  return bins
}

/** Exact limits of a share (Clopper and Pearson 1934, from memory) as quantiles of beta distributions. */
const shareLimits = (happened: number, count: number) => ({
  low: happened === 0 ? 0 : betaQuantile((1 - LEVEL) / 2, happened, count - happened + 1),
  high: happened === count ? 1 : betaQuantile((1 + LEVEL) / 2, happened + 1, count - happened),
})

/** Reliability table: how often what was held with about this probability was so. Empty bins are left out. */
export function reliabilityBins(forecasts: readonly Forecast[]): Bin[] {
  return binned(forecasts).flatMap((list, at): Bin[] => {
    if (list.length === 0) return []
    const happened = list.filter((forecast) => forecast.happened).length
    return [
      {
        from: BIN_EDGES[at - 1] ?? 0,
        to: BIN_EDGES[at]!,
        count: list.length,
        meanProbability: mean(list.map(({ probability }) => probability)),
        happened,
        share: happened / list.length,
        ...shareLimits(happened, list.length),
      },
    ]
  })
}

export interface BrierParts {
  /** Squared distance between what was held and what came, bin by bin: 0 is calibrated. */
  reliability: number
  /** How far the bins differ from the whole: more is better. */
  resolution: number
  /** Variance of what is to be forecast. */
  uncertainty: number
  /** What bins of unequal forecasts leave over; 0 where all forecasts of a bin are equal. */
  withinBins: number
}

/**
 * The Brier score taken apart.
 *
 * brier = reliability - resolution + uncertainty + withinBins
 * withinBins = mean of (p - mean p of bin)^2 - 2 mean of (p - mean p of bin) (happened - share of bin)
 *
 * @source Murphy (1973), from memory; the last term: Stephenson, Coelho and Jolliffe (2008), from memory; both re-derived
 */
export function brierParts(forecasts: readonly Forecast[]): BrierParts {
  const overall = mean(forecasts.map(({ happened }) => Number(happened)))
  const parts: BrierParts = { reliability: 0, resolution: 0, uncertainty: overall * (1 - overall), withinBins: 0 }
  for (const list of binned(forecasts).filter(({ length }) => length > 0)) {
    const weight = list.length / forecasts.length
    const held = mean(list.map(({ probability }) => probability))
    const share = mean(list.map(({ happened }) => Number(happened)))
    parts.reliability += weight * (held - share) ** 2
    parts.resolution += weight * (share - overall) ** 2
    for (const { probability, happened } of list)
      parts.withinBins +=
        ((probability - held) ** 2 - 2 * (probability - held) * (Number(happened) - share)) / forecasts.length
  }
  return parts
}

export interface ScoreWithLimits {
  value: number
  /** Absent with fewer than two calls. */
  low?: number
  high?: number
}
const NORMAL_95 = 1.959963984540054

/** Ratio of sums over calls with 95 % limits; the forecasts of one call hang together, so a call is the unit. */
function scoreOver(calls: readonly (readonly Forecast[])[], score: (forecast: Forecast) => number): ScoreWithLimits {
  const count = sum(calls.map(({ length }) => length))
  const totals = calls.map((list) => list.reduce((total, forecast) => total + score(forecast), 0))
  const value = sum(totals) / count
  if (calls.length < 2) return { value }
  const residuals = calls.map(({ length }, at) => totals[at]! - value * length)
  const squares = sum(residuals.map((residual) => residual ** 2))
  const error = Math.sqrt((squares * calls.length) / (calls.length - 1)) / count
  return { value, low: Math.max(0, value - NORMAL_95 * error), high: value + NORMAL_95 * error }
}

export interface Calibration {
  calls: number
  forecasts: number
  brier: ScoreWithLimits
  logScore: ScoreWithLimits
  parts: BrierParts
  bins: Bin[]
}

/**
 * How well what was held at the close of calls agrees with what was confirmed.
 *
 * Limits of the scores are those of a ratio estimator with whole calls as units and the normal distribution.
 *
 * @param calls - forecasts of each call, each with at least one
 * @throws DomainError QUANTITY_OUT_OF_RANGE for a probability outside 0 to 1
 * @validity only calls whose causes are known; the check that confirmed a cause has often moved its forecast as well
 * @source ratio estimator over clusters: Cochran, Sampling Techniques, ch. 6 (from memory)
 */
export function calibrate(calls: readonly (readonly Forecast[])[]): Calibration {
  const forecasts = calls.flat()
  return {
    calls: calls.length,
    forecasts: forecasts.length,
    brier: scoreOver(calls, brierOf),
    logScore: scoreOver(calls, logOf),
    parts: brierParts(forecasts),
    bins: reliabilityBins(forecasts),
  }
}
