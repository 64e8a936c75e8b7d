import { DomainError } from '../errors.ts'
import type { Finding, Limits } from '../findings/finding.ts'
import { type Attempts, attemptsIn } from './attempts.ts'
import type { CompiledRelease } from './compiled.ts'
import { devicesMeant } from './devices-meant.ts'
import { askedKey, type Gathered, type GatheredEvidence, nothingStated, type StatedContexts } from './gathered.ts'
import { instantiate } from './instantiate.ts'
import { indexRelease } from './release-index.ts'
import type { Readings } from './settle-readings.ts'
import { isPast } from './still-so.ts'
import { supersededIn } from './superseded.ts'
import { speaksOfUnnamedDevice } from './unnamed-device.ts'

const ascending = (a: number, b: number) => a - b

/** What findings come to while they are gone through: facts are entered here, and each entry keeps its finding. */
export class EvidenceLedger {
  /** Each with the device that it is about. */
  readonly findings: readonly Finding[]
  /** Conditions that repeat those of named devices. */
  readonly repeats: ReadonlyMap<number, readonly string[]>
  readonly release: CompiledRelease
  readonly result: Gathered
  readonly limits: Pick<Limits, 'nowMs' | 'lackingSenses'>
  /** What was read or said of each reading, by reading and device; settled together, for a better one counts alone. */
  readonly readings: Map<string, Readings> = new Map()
  /** What was said of the display. */
  readonly screens: { isComplete: boolean; observedMs?: number }[] = []
  /** Positions that a newer finding replaces. */
  readonly superseded: ReadonlySet<number>
  /** What the remedies that were tried come to. */
  readonly attempts: Attempts
  /** Positions that contradict each other so that neither counts. */
  readonly disputed: Set<number> = new Set()

  constructor(release: CompiledRelease, sent: readonly Finding[], limits: Pick<Limits, 'nowMs' | 'lackingSenses'>) {
    const { findings, repeats } = devicesMeant(release, sent, limits.nowMs)
    const devices = [...new Set(findings.flatMap(({ device }) => (device === undefined ? [] : [device])))].sort()
    this.findings = findings
    this.repeats = repeats
    this.superseded = supersededIn(release, findings, limits.nowMs)
    this.limits = limits
    this.release = release
    const instance = instantiate(release, devices, speaksOfUnnamedDevice(release, findings))
    this.attempts = attemptsIn(instance, findings, this.superseded, limits.nowMs)
    this.result = {
      instance,
      index: indexRelease(release),
      evidence: [],
      ...nothingStated(),
      onDevice: new Map(),
      asked: new Set(),
      answers: new Map(),
      isScreenComplete: false,
      isScreenMentioned: false,
      dangers: [],
      askFirst: new Map(),
      contradictions: [],
      carried: this.attempts.carried,
      cameBack: this.attempts.cameBack,
      unused: [],
      present: [],
      cleared: [],
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
   * contradiction, and then neither counts.
   */
  add(item: Omit<GatheredEvidence, 'findings' | 'isReading'>, at: number, about: string): void {
    const { evidence } = this.result
    const position = evidence.findIndex(({ effect }) => effect === item.effect)
    const known = evidence[position]
    if (known === undefined) evidence.push({ ...item, isReading: false, findings: [at] })
    else if (known.level === item.level) {
      const best = item.weights[item.level]! > known.weights[item.level]! ? item.weights : known.weights
      evidence[position] = { ...known, weights: best, findings: [...known.findings, at] }
    } else {
      const first = known.findings[0]!
      this.contradict(first, at, about)
      this.disputed.add(first).add(at)
    }
  }

  /** Enters what was measured in place of what was said of the same effect. */
  measured(item: Omit<GatheredEvidence, 'isReading'>): void {
    const { evidence } = this.result
    this.result.evidence = [...evidence.filter(({ effect }) => effect !== item.effect), { ...item, isReading: true }]
  }

  /** Sets aside what was so once, has run out, was replaced or cleared: it says nothing of the present state. */
  isPast(finding: Finding, at: number): boolean {
    const isOver = isPast(finding, this.limits.nowMs) || this.superseded.has(at) || this.attempts.over.has(at)
    if (isOver) this.setAside(at)
    return isOver
  }

  setAside(at: number): void {
    if (!this.result.unused.includes(at)) this.result.unused.push(at)
  }

  /** Names two findings that cannot both hold. */
  contradict(one: number, other: number, about: string): void {
    const { contradictions } = this.result
    const [first, second] = one < other ? [one, other] : [other, one]
    const isKnown = contradictions.some(({ findings }) => findings[0] === first && findings[1] === second)
    if (!isKnown) contradictions.push({ findings: [first, second], about })
  }

  /**
   * Where what is said of a context is kept: with its device where it is one of a device. What names none is about the device
   * that was not named; where there is no such device, about each of those that were, for it can mean nothing else.
   */
  statedFor(context: number, device: string | undefined): StatedContexts[] {
    const { instance, onDevice } = this.result
    if (this.release.contexts[context]!.isPerDevice !== true) return [this.result]
    const devices = device === undefined ? (instance.hasUnnamedDevice ? [] : instance.devices) : [device]
    if (devices.length === 0) return [this.result]
    return devices.map((one) => {
      const stated = onDevice.get(one) ?? nothingStated()
      onDevice.set(one, stated)
      return stated
    })
  }

  /** Name of a check as it was put. */
  keyOf(check: number, device: string | undefined): string {
    return askedKey(check, this.release.checks[check]!.isPerDevice ? device : undefined)
  }

  /** Notes that a check has been put, with its result where there is one. */
  answered(check: number, device: string | undefined, result?: string): void {
    const key = this.keyOf(check, device)
    this.result.asked.add(key)
    if (result !== undefined) this.result.answers.set(key, (this.result.answers.get(key) ?? new Set()).add(result))
  }

  /** Positions in their order; what they stand behind stays in the order of what it says, which is always the same. */
  inPlaces(): void {
    const { result } = this
    for (const item of result.evidence) item.findings = item.findings.toSorted(ascending)
    result.contradictions.sort((a, b) => a.findings[0] - b.findings[0] || a.findings[1] - b.findings[1])
    result.unused.sort(ascending)
    for (const { findings, by } of result.cleared) for (const list of [findings, by]) list.sort(ascending)
  }
}
