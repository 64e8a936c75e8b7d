import { DomainError } from '../errors.ts'
import type { AnswerFinding, ReadingFinding } from '../findings/finding.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import { figureOf, type Readings, sidesOf } from './settle-readings.ts'
import { oneHot } from './weights.ts'

/** Where everything about one reading of a device, or of the system, is kept. */
function readingsOf(ledger: EvidenceLedger, reading: number, named: string | undefined): Readings {
  const device = ledger.release.readings[reading]!.isPerDevice ? named : undefined
  const key = `${reading} ${device ?? ''}`
  const readings = ledger.readings.get(key) ?? { reading, device, figures: [], spoken: [] }
  ledger.readings.set(key, readings)
  return readings
}

/** A band named in words instead of a figure. */
export function gatherBand(
  ledger: EvidenceLedger,
  { reading, check }: { reading: number; check: number },
  { result, device, reliability = 1 }: AnswerFinding,
  at: number,
): void {
  const compiled = ledger.release.readings[reading]!
  const band = compiled.bands.indexOf(result)
  readingsOf(ledger, reading, device).spoken.push({ band, check, at })
  for (const side of sidesOf(compiled, oneHot(compiled.bands.length, band, reliability), band))
    ledger.add({ ...side, effect: ledger.result.instance.effectOf(side.effect, device) }, at, compiled.id)
}

/** A figure of a meter, kept until all of them are known; the checks that take it have been put. */
export function gatherReading(ledger: EvidenceLedger, finding: ReadingFinding, at: number): void {
  const index = ledger.find(ledger.result.index.reading, finding.reading, at, 'reading')
  const reading = ledger.release.readings[index]!
  const { value, device, reliability = 1, observedMs } = finding
  if (!(value >= reading.validLow && value <= reading.validHigh))
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      `quantity must be between ${reading.validLow} and ${reading.validHigh} ${reading.unit}, got ${value} ${reading.unit}`,
      { path: `/findings/${at}/quantity/value`, limit: `${reading.validLow} to ${reading.validHigh}`, value },
    )
  if (ledger.isPast(finding, at)) return
  const meter = finding.meter ?? { percentOfReading: reading.meterPercent, absolute: reading.meterAbsolute }
  readingsOf(ledger, index, device).figures.push(figureOf(reading, { value, meter, reliability, observedMs }, at))
  for (const check of ledger.result.index.checksOfReading.get(index) ?? []) ledger.answered(check, device)
}
