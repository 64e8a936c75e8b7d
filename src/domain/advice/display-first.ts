import { askedKey } from './gathered.ts'
import { isKeptBack } from './goes-with.ts'
import { permit } from './permit.ts'
import type { NextCheck, RefusedCheck, SearchState } from './search-state.ts'

/**
 * Reading the rest of the display comes before any other question while it is known to hold more.
 *
 * @param refused - takes what may not be read, such as by somebody who is elsewhere
 */
export function displayFirst({ known, limits }: SearchState, refused: RefusedCheck[]): NextCheck[] {
  if (!known.isScreenMentioned || known.isScreenComplete) return []
  const { release } = known.instance
  const first: NextCheck[] = []
  for (const check of known.index.revealingChecks) {
    const step = release.checks[check]!
    if (known.asked.has(askedKey(check, undefined)) || isKeptBack(known, step)) continue
    const verdict = permit(release, step, known, limits)
    const { minutes } = step
    if (verdict.verdict === 'refused') refused.push({ check, permit: verdict, gainBits: 0 })
    else first.push({ check, gainBits: 0, minutes, bitsPerMinute: 0, results: [], why: 'open-the-display-first' })
  }
  return first.sort((a, b) => a.minutes - b.minutes)
}
