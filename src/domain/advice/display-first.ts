import { unique } from './check-order.ts'
import { askedKey } from './gathered.ts'
import { isKeptBack } from './goes-with.ts'
import type { NextCheck, RefusedCheck, SearchState } from './search-state.ts'
import { expectedBehind } from './way-chance.ts'
import { blockedWay, opened, wayTo } from './way-to.ts'

/**
 * Reading the rest of the display comes before any other question while it is known to hold more, but for the question of a
 * danger that something which stands calls for: nobody reads a list beside a fire.
 *
 * @param refused - takes what may not be read, such as by somebody who is elsewhere
 */
export function displayFirst(state: SearchState, refused: RefusedCheck[]): NextCheck[] {
  const { known, limits } = state
  if (!known.isScreenMentioned || known.isScreenComplete) return []
  const { release } = known.instance
  const first: NextCheck[] = []
  for (const check of known.index.revealingChecks) {
    const step = release.checks[check]!
    if (known.asked.has(askedKey(check, undefined)) || isKeptBack(known, step)) continue
    const way = wayTo(release, known, limits, { check })
    if (way === undefined) {
      refused.push({ check, permit: blockedWay(release, state, { check }), gainBits: 0 })
      continue
    }
    const behind = expectedBehind(state, new Map(), { way, gainBits: 0 }, { check })
    const minutes = way.length === 0 ? step.minutes : behind.minutes
    const why = 'open-the-display-first'
    first.push(opened(release, way, { check, gainBits: 0, minutes, bitsPerMinute: 0, results: [], why }))
  }
  return unique(first.sort((a, b) => a.minutes - b.minutes))
}
