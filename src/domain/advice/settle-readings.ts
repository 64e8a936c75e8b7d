import { areNeighbours, beyondHealthy, isAtOdds, type Measured, standardUncertainty } from '../readings/agreement.ts'
import { bandWeights } from '../readings/band-weights.ts'
import { limitOfError, type MeterError } from '../readings/interpret.ts'
import type { CompiledReading } from './compiled.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import { newestOf } from './still-so.ts'
import { doubted } from './weights.ts'

/** A figure of a meter, with its place among the findings. */
export interface Figure extends Measured {
  at: number
  weights: readonly number[]
  reliability: number
  /** Uncertainty of its meter where the bands divide: the same for every figure of one meter. */
  meterUncertainty: number
  observedMs?: number
}

/** All that was read or said of one reading of one device, or of the system. */
export interface Readings {
  reading: number
  device: string | undefined
  figures: Figure[]
  /** Bands named in words, each with the check that was answered. */
  spoken: { band: number; check: number; at: number }[]
}

/** A figure as it counts: bands by the meter's error and the reliability of who read it. */
export function figureOf(
  { edges, healthy }: CompiledReading,
  {
    value,
    meter,
    reliability,
    observedMs,
  }: { value: number; meter: MeterError; reliability: number; observedMs?: number | undefined },
  at: number,
): Figure {
  const uncertainty = standardUncertainty(limitOfError(value, meter))
  const weights = bandWeights(value, uncertainty, edges)
  const divide = edges[healthy - 1] ?? edges[healthy] ?? 0
  return {
    at,
    value,
    uncertainty,
    reliability,
    band: weights.indexOf(Math.max(...weights)),
    weights: doubted(weights, reliability),
    meterUncertainty: standardUncertainty(limitOfError(divide, meter)),
    ...(observedMs === undefined ? {} : { observedMs }),
  }
}

/** The more reliable first, then that of the better meter, then that further from healthy; the lower of equals. */
const better =
  ({ edges, healthy }: CompiledReading) =>
  (a: Figure, b: Figure): number =>
    b.reliability - a.reliability ||
    a.meterUncertainty - b.meterUncertainty ||
    beyondHealthy(b.value, edges, healthy) - beyondHealthy(a.value, edges, healthy) ||
    a.value - b.value ||
    a.uncertainty - b.uncertainty

/** The figure that counts, those that say the very same, and the others that are as new. */
function chosen(reading: CompiledReading, figures: readonly Figure[]) {
  const compare = better(reading)
  const ranked = newestOf(figures).sort(compare)
  const [best] = ranked
  return {
    same: ranked.filter((one) => compare(one, best!) === 0),
    others: ranked.filter((one) => compare(one, best!) !== 0),
  }
}

/** Weights over all bands, split into the side below the healthy band and the side above it. */
export function sidesOf({ low, high, healthy }: CompiledReading, weights: readonly number[], band: number) {
  const below = weights.slice(0, healthy).reverse()
  const above = weights.slice(healthy + 1)
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
  const side = (effect: number | undefined, others: readonly number[], own: readonly number[], level: number) =>
    effect === undefined ? [] : [{ effect, weights: [weights[healthy]! + sum(others), ...own], level }]
  return [
    ...side(low, above, below, Math.max(0, healthy - band)),
    ...side(high, below, above, Math.max(0, band - healthy)),
  ]
}

/** What disagrees with the figure that counts, other figures and words alike: named together with it. */
function against(ledger: EvidenceLedger, { spoken, reading }: Readings, counts: Figure, others: readonly Figure[]) {
  const { id } = ledger.release.readings[reading]!
  const disagreeing = [
    ...others.filter((other) => isAtOdds(other, counts)),
    ...spoken.filter(({ band }) => !areNeighbours(band, counts.band)),
  ]
  for (const { at } of disagreeing) ledger.contradict(counts.at, at, id)
  return disagreeing
}

/** Enters the figure that counts in place of older and poorer ones and of words; gives the bands that stand as answers. */
function settleFigures(ledger: EvidenceLedger, readings: Readings): number[] {
  const reading = ledger.release.readings[readings.reading]!
  const { same, others } = chosen(reading, readings.figures)
  const counts = same[0]!
  const findings = same.map(({ at }) => at)
  for (const { at } of [...readings.figures, ...readings.spoken]) if (!findings.includes(at)) ledger.setAside(at)
  for (const side of sidesOf(reading, counts.weights, counts.band)) {
    const effect = ledger.result.instance.effectOf(side.effect, readings.device)
    ledger.measured({ ...side, effect, findings })
  }
  return [counts, ...against(ledger, readings, counts, others)].map(({ band }) => band)
}

/**
 * What each reading comes to: the newest figure counts, of equally new ones the better; words count where nothing was
 * measured. Figures that cannot both be right, and words far from the figure, are named as a contradiction; the figure
 * counts all the same, and every band in dispute stays an answer, so that nothing is offered that needs one of them.
 */
export function settleReadings(ledger: EvidenceLedger): void {
  for (const readings of ledger.readings.values()) {
    const { reading, device, figures, spoken } = readings
    const { bands } = ledger.release.readings[reading]!
    const checks = ledger.result.index.checksOfReading.get(reading) ?? []
    const answers =
      figures.length > 0
        ? settleFigures(ledger, readings).flatMap((band) => checks.map((check) => ({ check, band })))
        : spoken
    for (const { check, band } of answers) ledger.answered(check, device, bands[band])
  }
}
