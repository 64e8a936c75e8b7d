import type { Limits } from '../findings/finding.ts'
import type { Candidate } from './candidates.ts'
import type { CompiledRelease } from './compiled.ts'
import type { Gathered } from './gathered.ts'
import { isKeptBack } from './goes-with.ts'
import { liftsOf, permit } from './permit.ts'
import type { NextCheck, RefusedCheck, SearchState } from './search-state.ts'

/** Questions that must be answered before a check, each at most once, innermost first; none lead to one that something else holds back. */
export function wayTo(
  release: CompiledRelease,
  known: Gathered,
  limits: Limits,
  candidate: Pick<Candidate, 'check' | 'device'>,
): number[] | undefined {
  const way: number[] = []
  let next = permit(release, release.checks[candidate.check]!, known, limits, candidate.device)
  while (next.verdict === 'after') {
    if (way.includes(next.check) || liftsOf(next).length > 0) return undefined
    if (isKeptBack(known, release.checks[next.check]!, candidate.device)) return undefined
    way.unshift(next.check)
    next = permit(release, release.checks[next.check]!, known, limits, candidate.device)
  }
  return next.verdict === 'allowed' ? way : undefined
}

/** Puts the question that opens the way in place of a check that is not yet allowed. */
export function opened(release: CompiledRelease, way: readonly number[], found: NextCheck): NextCheck {
  const first = way[0]
  if (first === undefined) return found
  const { device: _, ...rest } = found
  const { isPerDevice } = release.checks[first]!
  return {
    ...(isPerDevice ? found : rest),
    check: first,
    results: [],
    opensResults: found.results,
    why: 'opens-the-way',
    before: found.check,
  }
}

/** Why nothing opens the way to a candidate. */
export function blockedWay(
  release: CompiledRelease,
  state: SearchState,
  candidate: Pick<Candidate, 'check' | 'device'>,
): RefusedCheck['permit'] {
  const own = permit(release, release.checks[candidate.check]!, state.known, state.limits, candidate.device)
  if (own.verdict === 'refused') return own
  if (own.verdict === 'after' && own.held !== undefined) return own.held
  const first = own.verdict === 'after' ? own.check : candidate.check
  const inner = permit(release, release.checks[first]!, state.known, state.limits, candidate.device)
  if (inner.verdict === 'after' && inner.held !== undefined) return inner.held
  return inner.verdict === 'refused'
    ? inner
    : { verdict: 'refused', reason: 'wrong-earlier-result', detail: release.checks[first]!.id }
}
