import { DomainError } from '../errors.ts'
import {
  type AnswerFinding,
  type ConditionFinding,
  DONT_KNOW,
  type Finding,
  type Limits,
  type ReadingFinding,
} from '../findings/finding.ts'
import { bandWeights } from '../readings/band-weights.ts'
import type { CompiledRelease } from './compiled.ts'
import { askedKey, type Gathered, type GatheredEvidence } from './gathered.ts'
import { instantiate, silentEffect } from './instantiate.ts'
import { indexRelease } from './release-index.ts'

/** Standard uncertainty of a limit of error under a rectangular distribution: limit / sqrt(3) (JCGM 100:2008 4.3.7, from memory). */
function standardUncertainty(limit: number): number {
  return limit / Math.sqrt(3)
}

function oneHot(levels: number, level: number, reliability: number): number[] {
  const rest = (1 - reliability) / (levels - 1)
  return Array.from({ length: levels }, (_, index) => (index === level ? reliability : rest))
}

/** Some device must be thought of: a finding about a device names none, or a condition of the system can come from one. */
function speaksOfUnnamedDevice(release: CompiledRelease, findings: readonly Finding[]): boolean {
  const index = indexRelease(release)
  const namesDevices = findings.some(({ device }) => device !== undefined)
  const effectSpeaks = (effect: number) => {
    const { isPerDevice, links } = release.effects[effect]!
    return isPerDevice || (!namesDevices && links.some(({ cause }) => release.causes[cause]!.isPerDevice))
  }
  return findings.some((finding) => {
    if (finding.device !== undefined) return false
    if (finding.kind === 'condition') {
      const condition = release.conditions[index.condition.get(finding.condition) ?? -1]
      return condition !== undefined && finding.state === 'present' && effectSpeaks(condition.effect)
    }
    if (finding.kind === 'reading')
      return release.readings[index.reading.get(finding.reading) ?? -1]?.isPerDevice === true
    return finding.kind === 'answer' && release.checks[index.check.get(finding.check) ?? -1]?.isPerDevice === true
  })
}

class Gatherer {
  readonly findings: readonly Finding[]
  readonly release: CompiledRelease
  readonly result: Gathered

  readonly limits: Pick<Limits, 'nowMs' | 'lackingSenses'>

  constructor(release: CompiledRelease, findings: readonly Finding[], limits: Pick<Limits, 'nowMs' | 'lackingSenses'>) {
    const devices = [...new Set(findings.flatMap((finding) => (finding.device === undefined ? [] : [finding.device])))]
    this.findings = findings
    this.limits = limits
    this.release = release
    this.result = {
      instance: instantiate(release, devices, speaksOfUnnamedDevice(release, findings)),
      index: indexRelease(release),
      evidence: [],
      contexts: new Map(),
      degrees: new Map(),
      excludedContexts: new Map(),
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

  /**
   * Adds evidence on an effect. The same fact counts once, by the more reliable source; the opposite fact makes a
   * contradiction; a reading replaces what was said in words, and an older reading.
   */
  add(item: Omit<GatheredEvidence, 'findings'>, at: number, about: string): void {
    const { evidence } = this.result
    const position = evidence.findIndex(({ effect }) => effect === item.effect)
    const known = evidence[position]
    if (known === undefined) evidence.push({ ...item, findings: [at] })
    else if (item.isReading) {
      evidence[position] = { ...item, findings: [at] }
      for (const replaced of known.findings) this.setAside(replaced)
    } else if (known.isReading) this.setAside(at)
    else if (known.level === item.level) {
      const best = item.weights[item.level]! > known.weights[item.level]! ? item.weights : known.weights
      evidence[position] = { ...known, weights: best, findings: [...known.findings, at] }
    } else this.contradict(known.findings[0]!, at, about)
  }

  /** Sets aside what was so once, or has run out: it says nothing of the present state. */
  isPast({ tense, untilMs = Number.POSITIVE_INFINITY }: Finding, at: number): boolean {
    const isPast = tense === 'earlier' || untilMs <= (this.limits.nowMs ?? Number.NEGATIVE_INFINITY)
    if (isPast) this.setAside(at)
    return isPast
  }

  setAside(at: number): void {
    if (!this.result.unused.includes(at)) this.result.unused.push(at)
  }

  contradict(first: number, second: number, about: string): void {
    const { contradictions } = this.result
    const isKnown = contradictions.some(({ findings }) => findings[0] === first && findings[1] === second)
    if (!isKnown) contradictions.push({ findings: [first, second], about })
  }

  condition(finding: ConditionFinding, at: number): void {
    const condition = this.find(this.result.index.condition, finding.condition, at, 'condition')
    if (this.isPast(finding, at)) return
    const { effect } = this.release.conditions[condition]!
    const level = finding.state === 'present' ? 1 : 0
    const own = this.result.instance.effectOf(effect, finding.device)
    const weights = oneHot(2, level, finding.reliability ?? 1)
    this.add({ effect: own, weights, level, isReading: false }, at, finding.condition)
    if (level === 1 && !this.result.present.some((known) => known.effect === own))
      this.result.present.push({
        condition,
        ...(finding.device === undefined ? {} : { device: finding.device }),
        effect: own,
      })
  }

  context(context: number, holds: boolean, at: number, reliability = 1): void {
    const { contexts, excludedContexts, degrees } = this.result
    const { dimension, id } = this.release.contexts[context]!
    const opposite = (holds ? excludedContexts : contexts).get(context)
    if (opposite !== undefined) this.contradict(opposite, at, id)
    if (!holds) {
      if (!excludedContexts.has(context)) excludedContexts.set(context, at)
      return
    }
    const rival = [...contexts.keys()].find(
      (other) => other !== context && dimension !== undefined && this.release.contexts[other]!.dimension === dimension,
    )
    if (rival !== undefined) this.contradict(contexts.get(rival)!, at, id)
    else {
      contexts.set(context, contexts.get(context) ?? at)
      degrees.set(context, Math.max(reliability, degrees.get(context) ?? 0))
    }
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
    // Danger outranks everything: a sign of it counts even when it was noticed a while ago.
    if (model.kind !== 'danger' && this.isPast(finding, at)) return
    if (this.isBeyondSenses(check, finding)) {
      this.setAside(at)
      return
    }
    this.answered(check, finding, finding.result)
    if (finding.result === DONT_KNOW) return
    if (model.kind === 'observation') {
      const effect = this.result.instance.effectOf(model.effect, finding.device)
      const level = model.levels.indexOf(finding.result)
      const weights = oneHot(model.levels.length, level, finding.reliability ?? 1)
      this.add({ effect, weights, level, isReading: false }, at, id)
    } else if (model.kind === 'reading') this.band(model.reading, finding, at)
    else if (model.kind === 'applicability') {
      for (const set of model.sets)
        if (set.result === finding.result) this.context(set.context, true, at, finding.reliability)
    } else if (model.kind === 'reveals') this.screen(finding.result === model.complete)
    else if (finding.result === model.sign) this.result.dangers.push({ hazard: model.hazard, finding: at })
  }

  /** Who cannot hear has not heard that it is silent; a danger sign that was noticed all the same counts. */
  isBeyondSenses(check: number, { result }: AnswerFinding): boolean {
    const { senses = [], model } = this.release.checks[check]!
    const isSign = model.kind === 'danger' && result === model.sign
    return !isSign && senses.some((sense) => this.limits.lackingSenses?.includes(sense))
  }

  /** Notes that a check has been put, with its result; a reading answers the checks that take it. */
  answered(check: number, { device }: Finding, result: string): void {
    const key = askedKey(check, this.release.checks[check]!.isPerDevice ? device : undefined)
    this.result.asked.add(key)
    this.result.answers.set(key, (this.result.answers.get(key) ?? new Set()).add(result))
  }

  /** A band named in words instead of a figure. */
  band(index: number, finding: AnswerFinding, at: number): void {
    const { bands } = this.release.readings[index]!
    const band = bands.indexOf(finding.result)
    const { device } = finding
    this.bandEvidence(index, { weights: oneHot(bands.length, band, finding.reliability ?? 1), band, device }, at, false)
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
    if (this.isPast(finding, at)) return
    const meter = finding.meter ?? { percentOfReading: reading.meterPercent, absolute: reading.meterAbsolute }
    const limit = (Math.abs(finding.value) * meter.percentOfReading) / 100 + meter.absolute
    const weights = bandWeights(finding.value, standardUncertainty(limit), reading.edges)
    const band = weights.indexOf(Math.max(...weights))
    this.bandEvidence(index, { weights, band, device: finding.device }, at, true)
    for (const check of this.result.index.checksOfReading.get(index) ?? [])
      this.answered(check, finding, reading.bands[band]!)
  }

  /** Weights over all bands, split into the side below the healthy band and the side above it. */
  bandEvidence(
    index: number,
    { weights, band, device }: { weights: readonly number[]; band: number; device: string | undefined },
    at: number,
    isReading: boolean,
  ): void {
    const { low, high, healthy, id } = this.release.readings[index]!
    const below = weights.slice(0, healthy).reverse()
    const above = weights.slice(healthy + 1)
    const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
    const side = (effect: number | undefined, others: number[], own: number[], level: number) => {
      if (effect === undefined) return
      const placed = this.result.instance.effectOf(effect, device)
      this.add({ effect: placed, weights: [weights[healthy]! + sum(others), ...own], level, isReading }, at, id)
    }
    side(low, above, below, Math.max(0, healthy - band))
    side(high, below, above, Math.max(0, band - healthy))
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
      evidence.push({ effect, weights: [1, 0], level: 0, findings: [], isReading: false })
    }
  }

  /** Findings that contradict each other count for neither side. */
  dropContradictions(): void {
    const disputed = new Set(this.result.contradictions.flatMap(({ findings }) => findings))
    this.result.evidence = this.result.evidence.filter((item) => !item.findings.some((at) => disputed.has(at)))
    for (const stated of [this.result.contexts, this.result.excludedContexts])
      for (const [context, at] of stated) if (disputed.has(at)) stated.delete(context)
    this.result.present = this.result.present.filter((known) =>
      this.result.evidence.some((item) => item.effect === known.effect),
    )
  }

  run(): Gathered {
    this.findings.forEach((finding, at) => {
      if (finding.kind === 'condition') this.condition(finding, at)
      else if (finding.kind === 'answer') this.answer(finding, at)
      else if (finding.kind === 'reading') this.reading(finding, at)
      else if (finding.kind === 'context') {
        const context = this.find(this.result.index.context, finding.context, at, 'context')
        if (!this.isPast(finding, at)) this.context(context, finding.state === 'holds', at, finding.reliability)
      } else if (finding.kind === 'unmapped') this.setAside(at)
      else if (!this.isPast(finding, at)) this.screen(finding.complete)
    })
    if (this.result.isScreenComplete) this.addSilence()
    this.dropContradictions()
    return this.result
  }
}

/**
 * Findings turned into evidence on a network with one copy for each device.
 * @throws DomainError UNKNOWN_ID, QUANTITY_OUT_OF_RANGE with a pointer into the findings
 */
export function gather(
  release: CompiledRelease,
  findings: readonly Finding[],
  limits: Pick<Limits, 'nowMs' | 'lackingSenses'> = {},
): Gathered {
  return new Gatherer(release, findings, limits).run()
}
