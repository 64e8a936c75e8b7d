import { causesOf } from './candidates.ts'
import type { CompiledCheck } from './compiled.ts'
import type { NextCheck, SearchState } from './search-state.ts'

/** A quick question takes no longer than this [min]. Judgement. */
const QUICK_MINUTES = 1
/** Causes less likely than this do not tie two questions together. Judgement. */
const NOTABLE_PROBABILITY = 0.05

const isQuick = ({ minutes, waitMinutes, disturbs, hazards, tools }: CompiledCheck) =>
  minutes <= QUICK_MINUTES && waitMinutes === 0 && disturbs.length + hazards.length + tools.length === 0

/**
 * Questions that can be put in one breath: quick, harmless, and each about other notable causes than those before it, so
 * that the answer to one hardly changes the worth of another.
 *
 * @param checks - in the order in which they would be put
 * @param count - most questions
 */
export function together(state: SearchState, checks: readonly NextCheck[], count: number): NextCheck[] {
  const { release } = state.known.instance
  const taken = new Set<number>()
  const chosen: NextCheck[] = []
  for (const next of checks) {
    if (chosen.length === count) break
    const check = release.checks[next.check]!
    if (next.why !== 'most-information-per-minute' || !isQuick(check)) continue
    const notable = causesOf(state, next.check, next.device).filter(
      (cause) => state.posterior[cause]! >= NOTABLE_PROBABILITY && state.relevant.has(cause),
    )
    if (notable.some((cause) => taken.has(cause))) continue
    chosen.push(next)
    for (const cause of notable) taken.add(cause)
  }
  return chosen
}
