import { Best } from '../diagnosis/best.ts'
import { given } from '../given.ts'
import { type Candidate, candidates } from './candidates.ts'
import { lossesIn } from './check-loss.ts'
import { inOrder, nearEquals, unique } from './check-order.ts'
import { resultsOf } from './check-results.ts'
import type { CompiledCheck, CompiledRelease } from './compiled.ts'
import { expectedGainBits } from './entropy.ts'
import { costMinutes, type NextCheck, OFFERED, type SearchedChecks, type SearchState } from './search-state.ts'
import { lookAhead } from './two-step.ts'
import { type Chances, expectedBehind } from './way-chance.ts'
import { blockedWay, opened, wayTo } from './way-to.ts'

/** State updates that a search may spend: keeps a full answer under 10 ms on a small isolate. */
export const SEARCH_BUDGET = 400_000
/** A check that tells less than this, or less a minute, is not worth the caller's patience. Judgement. */
const USEFUL_BITS = 0.05
const USEFUL_BITS_PER_MINUTE = 0.025

/**
 * Checks that tell most per minute, one step ahead and exact for yes-no and graded observations; the best few of nearly the
 * same rate also two steps ahead.
 * Goes through the candidates in the order of a cheap screen until the budget of counted state updates is spent.
 */
export function searchChecks(state: SearchState, budget = SEARCH_BUDGET): SearchedChecks {
  const release = state.known.instance.release
  const list = candidates(state).sort((a, b) => b.screen - a.screen || a.check - b.check)
  const found: SearchedChecks = { checks: [], refused: [], evaluated: 0, of: list.length, stateUpdates: 0 }
  const best = new Best<Candidate>(OFFERED)
  const chances: Chances = new Map()
  for (const candidate of list) {
    const check = release.checks[candidate.check]!
    if (found.stateUpdates >= budget || !best.isAmong(GUESSED_SHORT * candidate.screen)) break
    if (!mayBeUseful(release, candidate)) continue
    const { results, work } = resultsOf(state, candidate)
    const gainBits = expectedGainBits(results, state.groups)
    found.evaluated++
    found.stateUpdates += work + state.posterior.length
    if (!isUseful(gainBits, check)) continue
    const way = wayTo(release, state.known, state.limits, candidate)
    if (way === undefined) {
      const { check: at, device } = candidate
      found.refused.push(given({ check: at, device, permit: blockedWay(release, state, candidate), gainBits }))
      continue
    }
    const { minutes, work: more, ...expected } = expectedBehind(state, chances, { way, gainBits }, candidate)
    found.stateUpdates += more
    if (!(expected.gainBits > 0)) continue
    const offered: NextCheck = {
      check: candidate.check,
      ...(candidate.device === undefined ? {} : { device: candidate.device }),
      ...expected,
      minutes,
      bitsPerMinute: expected.gainBits / minutes,
      results: results.filter(({ result }) => result !== ''),
      why: 'most-information-per-minute',
    }
    best.put(offered.bitsPerMinute, candidate)
    found.checks.push(opened(release, way, offered))
  }
  const lossOf = lossesIn(state)
  found.checks = unique(found.checks.sort(inOrder(release, lossOf)))
  lookAheadOf(state, found, budget, lossOf)
  return found
}

/** The best few that are near-equal are told apart by what they bring with the check after them. */
const LOOKED_AHEAD = 3

function lookAheadOf(
  state: SearchState,
  found: SearchedChecks,
  budget: number,
  lossOf: ReturnType<typeof lossesIn>,
): void {
  const { release } = state.known.instance
  const few = nearEquals(release, found.checks, lossOf).slice(0, LOOKED_AHEAD)
  if (few.length < 2) return
  for (const next of few) {
    if (found.stateUpdates >= budget) break
    const { twoStepBits, work } = lookAhead(state, next, few)
    next.twoStepBits = twoStepBits
    found.stateUpdates += work
  }
  found.checks.sort(inOrder(release, lossOf))
}

/** A check is worked out if it would be worth it at so many times the guess: all but a few in ten thousand that are worth it are then (measured over the written calls). */
const GUESSED_SHORT = 2

/** Whether a check is worth working out by the guess of what it brings. */
export const mayBeUseful = ({ checks }: CompiledRelease, { check, screen }: Candidate): boolean =>
  isUseful(GUESSED_SHORT * screen * costMinutes(checks[check]!), checks[check]!)

const isUseful = (gainBits: number, check: CompiledCheck) =>
  gainBits >= USEFUL_BITS && gainBits / costMinutes(check) >= USEFUL_BITS_PER_MINUTE
