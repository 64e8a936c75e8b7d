import type { CompiledEffect, CompiledReading } from '../domain/advice/compiled.ts'
import { written } from '../domain/quantities/derivation.ts'
import { type Interpretation, interpretReading, type MeterError } from '../domain/readings/interpret.ts'
import { type Observation, type Observed, observed } from '../domain/readings/observed.ts'
import { exposureAt } from '../domain/readings/sound-level.ts'
import type { Check, Reading } from '../ontology/shape.ts'
import { basisOf } from './basis.ts'
import type { Wording } from './texts.ts'
import { wireSteps } from './wire-steps.ts'
import { wordHazard } from './word-cautions.ts'

export interface ReadingQuestion {
  reading: string
  /** A value in the unit of the reading, or what leads to one. */
  seen: number | Observation
  /** As sent; the reading's usual meter is assumed without it. */
  meter?: MeterError
}

/** A band is told about a cause when it is at least this many times as likely with it as without. */
const TELLING = 3
const MOST_CAUSES = 8
const MOST_CHECKS = 4

/** Chance of a level given one cause alone beside the background (noisy maximum). */
function chanceOf(effect: CompiledEffect, level: number, levels: readonly number[]): number {
  const upTo = (values: readonly number[], end: number) =>
    values.slice(0, end + 1).reduce((sum, value) => sum + value, 0)
  const most = (end: number) => (end < 0 ? 0 : upTo(effect.leak, end) * upTo(levels, end))
  return most(level) - most(level - 1)
}

/** Causes that a band speaks for, by how much. */
function spokenFor(wording: Wording, reading: CompiledReading, band: number) {
  const { compiled } = wording.release
  const side = band < reading.healthy ? reading.low : reading.high
  if (band === reading.healthy || side === undefined) return []
  const effect = compiled.effects[side]!
  const level = Math.abs(band - reading.healthy)
  return effect.links
    .map(({ cause, levels }) => ({
      cause: compiled.causes[cause]!.id,
      ratio: chanceOf(effect, level, levels) / effect.leak[level]!,
    }))
    .filter(({ ratio }) => ratio >= TELLING)
    .sort((a, b) => b.ratio - a.ratio || (a.cause < b.cause ? -1 : 1))
    .slice(0, MOST_CAUSES)
}

/** Checks that speak of the same causes by other means, those that share most first. */
function nextAfter(wording: Wording, reading: string, causes: readonly string[]) {
  const linked = ({ model }: Check) =>
    model.kind === 'yes-no' || model.kind === 'ordered' ? model.links.map(({ cause }) => cause) : []
  return wording.release.ontology.check
    .filter(({ model }) => !(model.kind === 'reading' && model.reading === reading))
    .map((check) => ({ check, shared: linked(check).filter((cause) => causes.includes(cause)).length }))
    .filter(({ shared }) => shared > 0)
    .sort(
      (a, b) =>
        b.shared - a.shared || a.check.minutes.value - b.check.minutes.value || (a.check.id < b.check.id ? -1 : 1),
    )
    .slice(0, MOST_CHECKS)
    .map(({ check }) => ({ check: check.id, label: wording.label(check.id), ask: wording.ask(check), who: check.who }))
}

function adviceFor({ verdict, nearestEdge }: Interpretation, rest: string, unit: string): string {
  if (verdict === 'clear') return 'The meter tells: the whole of its limit of error lies in one band.'
  const distance = Number(nearestEdge.distance.toPrecision(2))
  return `The meter cannot tell within its error. Use one with a limit of error under ${distance} ${unit}, or read again after the rest: ${rest}`
}

/** The edge that the value is nearest to, and what changes there. */
function changesAt(wording: Wording, { bands, unit }: Reading, { nearestEdge, low, high }: Interpretation): string {
  const { value, distance, below } = nearestEdge
  const names = [below, below + 1].map((band) => wording.say(bands[band]!.label))
  const error = written((high - low) / 2)
  return `At ${written(value)} ${unit} it changes between "${names[0]}" and "${names[1]}": ${written(distance)} ${unit} away, with a limit of error of ${error} ${unit}.`
}

/** The meter's error as sent, or that of the conversion, or the one assumed for the reading. */
function meterOf({ meter }: ReadingQuestion, known: Observed | undefined, compiled: CompiledReading): MeterError {
  if (meter) return meter
  if (known?.absolute !== undefined) return { percentOfReading: 0, absolute: known.absolute }
  return { percentOfReading: compiled.meterPercent, absolute: compiled.meterAbsolute }
}

/** How long the sound may be borne where the meter stood. */
function exposureOf({ quantity }: Reading, seen: ReadingQuestion['seen']) {
  if (quantity !== 'sound-level') return {}
  const levelDb = typeof seen === 'object' && seen.kind === 'sound-level' ? seen.levelDb : (seen as number)
  const { minutesRecommended, minutesLegal, caution } = exposureAt(levelDb)
  const minutes = (value: number) => ({ value, unit: 'min' })
  return { exposure: { recommended: minutes(minutesRecommended), legal: minutes(minutesLegal), caution } }
}

/** A meter reading against its bands, with what to measure next. */
export function wordReading(wording: Wording, question: ReadingQuestion) {
  const { reading: id, seen, meter } = question
  const reading = wording.concept<Reading>(id)
  const compiled = wording.release.compiled.readings.find((entry) => entry.id === id)!
  const known = typeof seen === 'number' ? undefined : observed(seen)
  const value = typeof seen === 'number' ? seen : known!.value
  const result = interpretReading({
    value,
    unit: reading.unit,
    meter: meterOf(question, known, compiled),
    isMeterAssumed: meter === undefined,
    edges: compiled.edges,
    bands: compiled.bands,
    validLow: compiled.validLow,
    validHigh: compiled.validHigh,
  })
  const likeliest = result.probabilities.indexOf(Math.max(...result.probabilities))
  const causes = spokenFor(wording, compiled, likeliest)
  const taking = wording.release.ontology.check.filter(({ model }) => model.kind === 'reading' && model.reading === id)
  const amount = (number: number) => ({ value: number, unit: reading.unit })
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    reading: { id, label: wording.label(id), point: wording.say(reading.point), state: wording.say(reading.state) },
    rest: wording.say(reading.rest),
    destroys: wording.say(reading.destroys),
    between: { low: amount(result.low), high: amount(result.high) },
    verdict: result.verdict,
    possible: result.possible,
    bands: reading.bands.map(({ id: band, label, healthy }, index) => ({
      band,
      label: wording.say(label),
      isHealthy: healthy,
      probability: result.probabilities[index]!,
    })),
    advice: adviceFor(result, wording.say(reading.rest), reading.unit),
    speaksFor: causes.map(({ cause, ratio }) => ({ cause, label: wording.label(cause), likelihoodRatio: ratio })),
    next: nextAfter(
      wording,
      id,
      causes.map(({ cause }) => cause),
    ),
    ...exposureOf(reading, seen),
    wouldChange: [changesAt(wording, reading, result)],
    steps: wireSteps([...(known ? [known.step] : []), ...result.steps]),
    cautions: [...new Set(taking.flatMap(({ hazards }) => hazards))].map((hazard) => wordHazard(wording, hazard)),
  }
}
