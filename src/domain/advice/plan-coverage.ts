import { type PlanCandidate, type PlanState, WORTH_CONSIDERING, withFixes } from './plan-candidates.ts'
import { causesOfWeighed, noneFixed } from './plan-clearing.ts'

/** A condition has its remedy once this share of what the best one alone would clear is expected to clear. Judgement. */
const SHARE_OF_BEST = 0.5

/** What each remedy alone clears of the conditions that are weighed. */
export class Coverage {
  readonly #aloneOf: (candidate: PlanCandidate) => readonly number[]
  #best: readonly number[] | undefined
  readonly #pool: readonly PlanCandidate[]

  constructor(state: PlanState, clears: (fixed: readonly number[]) => number[], pool: readonly PlanCandidate[]) {
    const reached = causesOfWeighed(state)
    const none = noneFixed(state)
    const nothing = reached.map(() => 0)
    const canReach = ({ fixes }: PlanCandidate) =>
      reached.some((causes) => fixes.some(({ cause }) => causes.has(cause)))
    const known = new Map<PlanCandidate, readonly number[]>()
    this.#pool = pool
    this.#aloneOf = (candidate) => {
      const found = known.get(candidate) ?? (canReach(candidate) ? clears(withFixes(none, candidate.fixes)) : nothing)
      known.set(candidate, found)
      return found
    }
  }

  /** For each condition the most that one remedy alone clears. */
  get #most(): readonly number[] {
    this.#best ??= this.#pool
      .map(this.#aloneOf)
      .reduce<readonly number[]>((best, alone) => alone.map((value, at) => Math.max(value, best[at] ?? 0)), [])
    return this.#best
  }

  /** Whether a remedy is one for a condition. */
  isFor(candidate: PlanCandidate, condition: number): boolean {
    return this.#aloneOf(candidate)[condition]! >= SHARE_OF_BEST * this.#most[condition]!
  }

  /** Conditions that some remedy can clear and that have none yet, the worst loss first. */
  withoutRemedy(cleared: readonly number[]): number[] {
    return cleared.flatMap((value, condition) => {
      if (value >= SHARE_OF_BEST) return []
      const most = this.#most[condition] ?? 0
      return most >= WORTH_CONSIDERING && value < SHARE_OF_BEST * most ? [condition] : []
    })
  }
}
