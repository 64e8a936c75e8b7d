import { type Doubt, doubtsOf } from './doubts.ts'
import { type Established, type Excluded, establish, exclude, factsOf } from './facts.ts'
import { type HiddenScreen, hide, undecided } from './hidden.ts'
import { judge } from './mark-states.ts'
import { type NextAct, nextAct } from './next-act.ts'
import type { DisplayProfile } from './profile.ts'
import { type Observation, see } from './seen.ts'

export interface Decoded {
  established: Established[]
  excluded: Excluded[]
  hidden: HiddenScreen[]
  /** Conditions that no further look settles, because the display does not show everything. */
  undecided: string[]
  doubts: Doubt[]
  /** Everything that the display tells of the present has been read, and it fits together. */
  isComplete: boolean
  next?: NextAct
}

/**
 * What a partial look at a display tells: which conditions stand and on which devices, which do not, what is still hidden,
 * and what to do next to learn most.
 *
 * @param profile - a display profile that breaks no rule of `profileFaults`
 * @param observed - what was seen, in order; the last record says on which screen the caller is
 * @returns facts, hidden screens and the next act; an act is there whenever a screen is hidden
 * @throws DomainError UNKNOWN_ID for a screen or a mark that the profile does not have
 * @validity as far as the profile is true. A mark that is off says "no" only on a screen that shows everything that stands;
 *   where two screens disagree, what is on counts and the disagreement is among the doubts. What a memory shows is "earlier".
 * @example decode(profile, [{ screen: 'front', on: ['wave'] }]).established[0].condition // 'condition/mains-missing'
 */
export function decode(profile: DisplayProfile, observed: readonly Observation[]): Decoded {
  const seen = see(profile, observed)
  const judged = judge(seen)
  const established = establish(judged)
  const excluded = exclude(judged, established)
  const facts = factsOf(established, excluded)
  const hidden = hide(judged, facts)
  const open = undecided(judged, facts)
  const doubts = doubtsOf(judged, established)
  const next = nextAct(judged, facts, hidden, seen.at)
  const isComplete = hidden.every(({ isMemory }) => isMemory) && open.length === 0 && doubts.length === 0
  return {
    established,
    excluded,
    hidden,
    undecided: open,
    doubts,
    isComplete,
    ...(next === undefined ? {} : { next }),
  }
}
