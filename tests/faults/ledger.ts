import { ABSENT, type Outcome, type Workload } from './workloads/workload.ts'

export interface Tally {
  acknowledged: number
  refused: number
  unanswered: number
  /** Things checked against what must be there. */
  checked: number
  lost: number
  duplicated: number
  half: number
  /** Writes that were kept although nobody was told so. */
  keptUntold: number
}
export const newTally = (): Tally => ({
  acknowledged: 0,
  refused: 0,
  unanswered: 0,
  checked: 0,
  lost: 0,
  duplicated: 0,
  half: 0,
  keptUntold: 0,
})

/** What must be and what may be stored of each thing of one workload. */
export class Ledger {
  readonly #workload: Workload
  readonly tally = newTally()
  readonly #latest = new Map<string, number>()
  /** Versions that must be there: the last one acknowledged, or all where versions do not replace each other. */
  readonly #kept = new Map<string, Set<number>>()
  /** Versions sent after that and never answered. */
  readonly #open = new Map<string, Set<number>>()

  constructor(workload: Workload) {
    this.#workload = workload
  }
  get things(): string[] {
    return [...this.#latest.keys()]
  }
  nextVersion(thing: string): number {
    const version = (this.#latest.get(thing) ?? ABSENT) + 1
    this.#latest.set(thing, version)
    return version
  }

  note(thing: string, version: number, outcome: Outcome): void {
    this.tally[outcome]++
    const kept = this.#kept.get(thing) ?? new Set()
    const open = this.#open.get(thing) ?? new Set()
    if (outcome === 'acknowledged') {
      if (this.#workload.replaces) {
        kept.clear()
        open.clear()
      }
      if (version !== ABSENT) kept.add(version)
    }
    if (outcome === 'unanswered') open.add(version)
    this.#kept.set(thing, kept)
    this.#open.set(thing, open)
  }

  /** Counts what is missing, double or half, and takes what is there as the new state. */
  check(found: readonly { thing: string; version: number }[]): void {
    for (const thing of this.things) {
      const versions = found.filter((one) => one.thing === thing).map(({ version }) => version)
      this.tally.checked++
      this.tally.half += versions.filter(Number.isNaN).length
      if (this.#workload.replaces) this.#checkReplacing(thing, versions)
      else this.#checkBeside(thing, versions)
      this.#kept.set(thing, new Set(versions))
      this.#open.set(thing, new Set())
    }
  }
  #checkReplacing(thing: string, versions: readonly number[]): void {
    if (versions.length > 1) this.tally.duplicated++
    const state = versions[0] ?? ABSENT
    const [last = ABSENT] = this.#kept.get(thing) ?? []
    if (state === last) return
    if (this.#open.get(thing)?.has(state)) this.tally.keptUntold++
    else this.tally.lost++
  }
  #checkBeside(thing: string, versions: readonly number[]): void {
    const kept = this.#kept.get(thing) ?? new Set()
    this.tally.duplicated += versions.length - new Set(versions).size
    this.tally.lost += [...kept].filter((version) => !versions.includes(version)).length
    this.tally.keptUntold += [...new Set(versions)].filter((version) => !kept.has(version)).length
  }
}
