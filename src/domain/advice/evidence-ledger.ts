import { DomainError } from '../errors.ts'
import type { Finding, Limits } from '../findings/finding.ts'
import type { CompiledRelease } from './compiled.ts'
import { askedKey, type Gathered, type GatheredEvidence } from './gathered.ts'
import { instantiate } from './instantiate.ts'
import { indexRelease } from './release-index.ts'
import { speaksOfUnnamedDevice } from './unnamed-device.ts'

/** Weights of a stated level; the rest is shared by the others. */
export function oneHot(levels: number, level: number, reliability: number): number[] {
  const rest = (1 - reliability) / (levels - 1)
  return Array.from({ length: levels }, (_, index) => (index === level ? reliability : rest))
}

/** What findings come to while they are gone through: facts are entered here, and each entry keeps its finding. */
export class EvidenceLedger {
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
      askFirst: new Map(),
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

  /** Notes that a check has been put, with its result; a reading answers the checks that take it. */
  answered(check: number, { device }: Finding, result: string): void {
    const key = askedKey(check, this.release.checks[check]!.isPerDevice ? device : undefined)
    this.result.asked.add(key)
    this.result.answers.set(key, (this.result.answers.get(key) ?? new Set()).add(result))
  }
}
