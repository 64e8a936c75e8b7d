import { DomainError } from '../errors.ts'
import type { AnswerFinding, ReadingFinding } from '../findings/finding.ts'
import { bandWeights } from '../readings/band-weights.ts'
import { type EvidenceLedger, oneHot } from './evidence-ledger.ts'

/** Standard uncertainty of a limit of error under a rectangular distribution: limit / sqrt(3) (JCGM 100:2008 4.3.7, from memory). */
function standardUncertainty(limit: number): number {
  return limit / Math.sqrt(3)
}

/** A band named in words instead of a figure. */
export function gatherBand(ledger: EvidenceLedger, index: number, finding: AnswerFinding, at: number): void {
  const { bands } = ledger.release.readings[index]!
  const band = bands.indexOf(finding.result)
  const { device } = finding
  bandEvidence(
    ledger,
    index,
    { weights: oneHot(bands.length, band, finding.reliability ?? 1), band, device },
    at,
    false,
  )
}

/** A figure of a meter: bands by its uncertainty, and the checks that take it are answered. */
export function gatherReading(ledger: EvidenceLedger, finding: ReadingFinding, at: number): void {
  const index = ledger.find(ledger.result.index.reading, finding.reading, at, 'reading')
  const reading = ledger.release.readings[index]!
  if (!(finding.value >= reading.validLow && finding.value <= reading.validHigh))
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      `quantity must be between ${reading.validLow} and ${reading.validHigh} ${reading.unit}, got ${finding.value} ${reading.unit}`,
      {
        path: `/findings/${at}/quantity/value`,
        limit: `${reading.validLow} to ${reading.validHigh}`,
        value: finding.value,
      },
    )
  if (ledger.isPast(finding, at)) return
  const meter = finding.meter ?? { percentOfReading: reading.meterPercent, absolute: reading.meterAbsolute }
  const limit = (Math.abs(finding.value) * meter.percentOfReading) / 100 + meter.absolute
  const weights = bandWeights(finding.value, standardUncertainty(limit), reading.edges)
  const band = weights.indexOf(Math.max(...weights))
  bandEvidence(ledger, index, { weights, band, device: finding.device }, at, true)
  for (const check of ledger.result.index.checksOfReading.get(index) ?? [])
    ledger.answered(check, finding, reading.bands[band]!)
}

/** Weights over all bands, split into the side below the healthy band and the side above it. */
function bandEvidence(
  ledger: EvidenceLedger,
  index: number,
  { weights, band, device }: { weights: readonly number[]; band: number; device: string | undefined },
  at: number,
  isReading: boolean,
): void {
  const { low, high, healthy, id } = ledger.release.readings[index]!
  const below = weights.slice(0, healthy).reverse()
  const above = weights.slice(healthy + 1)
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
  const side = (effect: number | undefined, others: number[], own: number[], level: number) => {
    if (effect === undefined) return
    const placed = ledger.result.instance.effectOf(effect, device)
    ledger.add({ effect: placed, weights: [weights[healthy]! + sum(others), ...own], level, isReading }, at, id)
  }
  side(low, above, below, Math.max(0, healthy - band))
  side(high, below, above, Math.max(0, band - healthy))
}
