import type { Evidence } from '../diagnosis/network.ts'
import { DomainError } from '../errors.ts'
import {
  type AnswerFinding,
  type ConditionFinding,
  DONT_KNOW,
  type Finding,
  type ReadingFinding,
} from '../findings/finding.ts'
import { bandWeights } from '../readings/band-weights.ts'
import type { CompiledRelease } from './compiled.ts'
import { type Instance, instantiate, silentEffect } from './instantiate.ts'
import { indexRelease, type ReleaseIndex } from './release-index.ts'

/** One item of evidence with the positions of the findings it comes from. */
export interface GatheredEvidence extends Evidence {
  findings: number[]
  isReading: boolean
}
export interface Contradiction {
  /** Positions of the two findings that cannot both hold. */
  findings: [number, number]
  /** Id of what they disagree about. */
  about: string
}
export interface Gathered {
  instance: Instance
  index: ReleaseIndex
  evidence: GatheredEvidence[]
  /** Contexts that hold, each with the finding that said so. */
  contexts: Map<number, number>
  /** Context indexes known not to hold. */
  excludedContexts: Set<number>
  /** Checks already put to the caller, as "check" or "check device". */
  asked: Set<string>
  /** Results by check, as "check" or "check device" like `asked`. */
  answers: Map<string, Set<string>>
  isScreenComplete: boolean
  /** Whether anybody said anything of the screen. */
  isScreenMentioned: boolean
  dangers: { hazard: number; finding: number }[]
  contradictions: Contradiction[]
  /** Positions of findings that say nothing of the present state. */
  unused: number[]
  /** Conditions that stand, with their effect in the instance. */
  present: { condition: number; device?: string; effect: number }[]
}

/** A check on a device has its own name in `asked`. */
export function askedKey(check: number, device: string | undefined): string {
  return device === undefined ? `${check}` : `${check} ${device}`
}

/** Standard uncertainty of a limit of error under a rectangular distribution: limit / sqrt(3) (JCGM 100:2008 4.3.7, from memory). */
function standardUncertainty(limit: number): number {
  return limit / Math.sqrt(3)
}

function oneHot(levels: number, level: number, reliability: number): number[] {
  const rest = (1 - reliability) / (levels - 1)
  return Array.from({ length: levels }, (_, index) => (index === level ? reliability : rest))
}

/** A finding about a per-device condition or check that names no device. */
function speaksOfUnnamedDevice(release: CompiledRelease, findings: readonly Finding[]): boolean {
  const index = indexRelease(release)
  return findings.some((finding) => {
    if (finding.device !== undefined) return false
    if (finding.kind === 'condition') {
      const condition = release.conditions[index.condition.get(finding.condition) ?? -1]
      return condition !== undefined && release.effects[condition.effect]!.isPerDevice
    }
    return finding.kind === 'answer' && release.checks[index.check.get(finding.check) ?? -1]?.isPerDevice === true
  })
}

class Gatherer {
  readonly findings: readonly Finding[]
  readonly release: CompiledRelease
  readonly result: Gathered

  constructor(release: CompiledRelease, findings: readonly Finding[]) {
    const devices = [...new Set(findings.flatMap((finding) => (finding.device === undefined ? [] : [finding.device])))]
    this.findings = findings
    this.release = release
    this.result = {
      instance: instantiate(release, devices, speaksOfUnnamedDevice(release, findings)),
      index: indexRelease(release),
      evidence: [],
      contexts: new Map(),
      excludedContexts: new Set(),
      asked: new Set(),
      answers: new Map(),
      isScreenComplete: false,
      isScreenMentioned: false,
      dangers: [],
      contradictions: [],
      unused: [],
      present: [],
    }
  }

  /** Index of an id, or a refusal that points at the finding's field. */
  find(index: ReadonlyMap<string, number>, id: string, at: number, field: string): number {
    const found = index.get(id)
    if (found !== undefined) return found
    throw new DomainError('UNKNOWN_ID', `${field} must be an id of release ${this.release.version}, got ${id}`, {
      path: `/findings/${at}/${field}`,
      value: id,
    })
  }

  /** Adds evidence on an effect; the same fact counts once, the opposite fact makes a contradiction. */
  add(effect: number, weights: number[], at: number, about: string, isReading = false): void {
    const evidence = this.result.evidence
    const position = evidence.findIndex((item) => item.effect === effect)
    const item: GatheredEvidence = { effect, weights, findings: [at], isReading }
    if (position < 0) {
      evidence.push(item)
      return
    }
    const known = evidence[position]!
    if (isReading || known.isReading) evidence[position] = isReading ? item : known
    else if (likeliest(known.weights) === likeliest(weights)) {
      const best = Math.max(...weights) > Math.max(...known.weights) ? weights : known.weights
      evidence[position] = { ...known, weights: best, findings: [...known.findings, at] }
    } else this.result.contradictions.push({ findings: [known.findings[0]!, at], about })
  }

  condition(finding: ConditionFinding, at: number): void {
    const condition = this.find(this.result.index.condition, finding.condition, at, 'condition')
    const { effect } = this.release.conditions[condition]!
    if (finding.tense === 'earlier') {
      this.result.unused.push(at)
      return
    }
    const level = finding.state === 'present' ? 1 : 0
    const own = this.result.instance.effectOf(effect, finding.device)
    this.add(own, oneHot(2, level, finding.reliability ?? 1), at, finding.condition)
    if (level === 1 && !this.result.present.some((known) => known.effect === own))
      this.result.present.push({
        condition,
        ...(finding.device === undefined ? {} : { device: finding.device }),
        effect: own,
      })
  }

  context(context: number, holds: boolean, at: number): void {
    const { contexts, excludedContexts, contradictions } = this.result
    const { dimension, id } = this.release.contexts[context]!
    if (!holds) {
      if (contexts.has(context)) contradictions.push({ findings: [contexts.get(context)!, at], about: id })
      excludedContexts.add(context)
      return
    }
    const rival = [...contexts.keys()].find(
      (other) => other !== context && dimension !== undefined && this.release.contexts[other]!.dimension === dimension,
    )
    if (rival !== undefined) contradictions.push({ findings: [contexts.get(rival)!, at], about: id })
    else contexts.set(context, contexts.get(context) ?? at)
  }

  answer(finding: AnswerFinding, at: number): void {
    const check = this.find(this.result.index.check, finding.check, at, 'check')
    const { model, results, id } = this.release.checks[check]!
    if (finding.result !== DONT_KNOW && !results.includes(finding.result))
      throw new DomainError(
        'UNKNOWN_ID',
        `result must be one of ${results.join(', ')} or ${DONT_KNOW}, got ${finding.result}`,
        {
          path: `/findings/${at}/result`,
          limit: results.join(', '),
          value: finding.result,
        },
      )
    this.result.asked.add(askedKey(check, finding.device))
    const key = askedKey(check, this.release.checks[check]!.isPerDevice ? finding.device : undefined)
    this.result.answers.set(key, (this.result.answers.get(key) ?? new Set()).add(finding.result))
    if (finding.result === DONT_KNOW) return
    if (model.kind === 'observation') {
      const effect = this.result.instance.effectOf(model.effect, finding.device)
      this.add(
        effect,
        oneHot(model.levels.length, model.levels.indexOf(finding.result), finding.reliability ?? 1),
        at,
        id,
      )
    } else if (model.kind === 'reading') this.band(model.reading, finding, at)
    else if (model.kind === 'applicability') {
      for (const set of model.sets) if (set.result === finding.result) this.context(set.context, true, at)
    } else if (model.kind === 'reveals') this.screen(finding.result === model.complete)
    else if (finding.result === model.sign) this.result.dangers.push({ hazard: model.hazard, finding: at })
  }

  /** A band named in words instead of a figure. */
  band(index: number, finding: AnswerFinding, at: number): void {
    const { bands } = this.release.readings[index]!
    const weights = oneHot(bands.length, bands.indexOf(finding.result), finding.reliability ?? 1)
    this.bandEvidence(index, weights, at, false)
  }

  reading(finding: ReadingFinding, at: number): void {
    const index = this.find(this.result.index.reading, finding.reading, at, 'reading')
    const reading = this.release.readings[index]!
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
    const meter = finding.meter ?? { percentOfReading: reading.meterPercent, absolute: reading.meterAbsolute }
    const limit = (Math.abs(finding.value) * meter.percentOfReading) / 100 + meter.absolute
    this.bandEvidence(index, bandWeights(finding.value, standardUncertainty(limit), reading.edges), at, true)
    for (const check of this.result.index.checksOfReading.get(index) ?? [])
      this.result.asked.add(askedKey(check, finding.device))
  }

  /** Weights over all bands, split into the side below the healthy band and the side above it. */
  bandEvidence(index: number, weights: readonly number[], at: number, isReading: boolean): void {
    const { low, high, healthy, id } = this.release.readings[index]!
    const below = weights.slice(0, healthy).reverse()
    const above = weights.slice(healthy + 1)
    const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
    if (low !== undefined) this.add(low, [weights[healthy]! + sum(above), ...below], at, id, isReading)
    if (high !== undefined) this.add(high, [weights[healthy]! + sum(below), ...above], at, id, isReading)
  }

  screen(isComplete: boolean): void {
    this.result.isScreenMentioned = true
    this.result.isScreenComplete = isComplete
  }

  /** A fully read display that does not show a condition speaks against it. */
  addSilence(): void {
    const { instance, evidence } = this.result
    for (const { effect, isOnDisplay } of this.release.conditions) {
      const isPerDevice = this.release.effects[effect]!.isPerDevice
      if (!isOnDisplay || isPerDevice || evidence.some((item) => item.effect === effect)) continue
      instance.effects[effect] = silentEffect(instance.effects[effect]!)
      evidence.push({ effect, weights: [1, 0], findings: [], isReading: false })
    }
  }

  /** Findings that contradict each other count for neither side. */
  dropContradictions(): void {
    const disputed = new Set(this.result.contradictions.flatMap(({ findings }) => findings))
    this.result.evidence = this.result.evidence.filter((item) => !item.findings.some((at) => disputed.has(at)))
    for (const [context, at] of this.result.contexts) if (disputed.has(at)) this.result.contexts.delete(context)
    this.result.present = this.result.present.filter((known) =>
      this.result.evidence.some((item) => item.effect === known.effect),
    )
  }

  run(): Gathered {
    this.findings.forEach((finding, at) => {
      if (finding.kind === 'condition') this.condition(finding, at)
      else if (finding.kind === 'answer') this.answer(finding, at)
      else if (finding.kind === 'reading') this.reading(finding, at)
      else if (finding.kind === 'context')
        this.context(
          this.find(this.result.index.context, finding.context, at, 'context'),
          finding.state === 'holds',
          at,
        )
      else this.screen(finding.complete)
    })
    this.dropContradictions()
    if (this.result.isScreenComplete) this.addSilence()
    return this.result
  }
}

function likeliest(weights: readonly number[]): number {
  return weights.indexOf(Math.max(...weights))
}

/**
 * Findings turned into evidence on a network with one copy for each device.
 * @throws DomainError UNKNOWN_ID, QUANTITY_OUT_OF_RANGE with a pointer into the findings
 */
export function gather(release: CompiledRelease, findings: readonly Finding[]): Gathered {
  return new Gatherer(release, findings).run()
}
