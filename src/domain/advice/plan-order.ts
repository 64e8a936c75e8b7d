import type { CompiledRelease } from './compiled.ts'
import { BATTERY, CLOCK, ENCLOSURE, SUPPLY } from './families-in-turn.ts'
import { isRefused } from './permit.ts'
import { isLikely, type PlanCandidate, type PlanState } from './plan-candidates.ts'
import { sum } from './plan-clearing.ts'
import { CHEAP, isQuickAct } from './plan-need.ts'
import { ROOT_PROBABILITY } from './plan-roots.ts'

const TURN = { supply: 0, battery: 1, clock: 2 } as const

/** What a step opens to get inside a housing, and the housing of which there is one. */
const OPENED = 'cover'
const BOX = 'box'

const lostKnown = new WeakMap<CompiledRelease, Set<number>>()

/** Causes of a clock that is not set because the supply was lost; kept with the release. */
function lostWithSupply(release: CompiledRelease): Set<number> {
  const known = lostKnown.get(release)
  if (known !== undefined) return known
  const { causes } = release
  const leaves = causes.flatMap(({ family, rootOf }) => (family === SUPPLY ? rootOf : []))
  const lost = new Set(leaves.filter((leaf) => causes[leaf]!.family === CLOCK))
  lostKnown.set(release, lost)
  return lost
}

/** Where a remedy stands among those that have an order: supply, battery, clock; undefined for any other. */
function turnOf({ known }: PlanState, lost: ReadonlySet<number>, { fixes, remedy }: PlanCandidate): number | undefined {
  const { keys, release } = known.instance
  const families = new Set(fixes.map(({ cause }) => release.causes[keys[cause]!.cause]!.family))
  if (families.has(SUPPLY)) return TURN.supply
  if (families.has(BATTERY)) return TURN.battery
  return release.remedies[remedy]!.fixes.some(({ cause }) => lost.has(cause)) ? TURN.clock : undefined
}

/** Conditions that stand and that a cause which the remedy removes can bring about. */
function reachedBy({ known }: PlanState, { fixes }: PlanCandidate): number[] {
  return known.present.flatMap(({ effect }) =>
    known.instance.effects[effect]!.links.some(({ cause }) => fixes.some((fix) => fix.cause === cause)) ? [effect] : [],
  )
}

/** Whether one remedy could only clear what another can clear too. */
function isRival(state: PlanState, first: PlanCandidate, then: PlanCandidate): boolean {
  const reached = reachedBy(state, then)
  return reachedBy(state, first).every((effect) => reached.includes(effect))
}

const shareOf = ({ fixes }: PlanCandidate): number => sum(fixes.map(({ probability }) => probability))

/** Whether what a remedy removes counts beside what another does: it may well be there, or it is the quicker to be rid of. */
const counts = (first: PlanCandidate, then: PlanCandidate): boolean =>
  shareOf(first) >= ROOT_PROBABILITY || shareOf(first) / first.cost >= shareOf(then) / then.cost

/**
 * Whether one remedy comes before another by its turn: supply, battery, clock. One that could only clear the same conditions
 * is its rival, not its precondition: it keeps its place where it is dearer, as does a supply that hardly counts and has no
 * item of its own.
 */
function byTurn(state: PlanState, chosen: readonly PlanCandidate[]) {
  const lost = lostWithSupply(state.known.instance.release)
  const turns = new Map(chosen.map((candidate) => [candidate, turnOf(state, lost, candidate)]))
  return (first: PlanCandidate, then: PlanCandidate): boolean => {
    const [before, after] = [turns.get(first), turns.get(then)]
    if (before === undefined || after === undefined || before >= after) return false
    if (!isRival(state, first, then)) return true
    return first.cost <= then.cost && (before !== TURN.supply || counts(first, then))
  }
}

/** Whether one remedy cures a root of what another cures. */
function byRoots({ known }: PlanState) {
  const { keys, release } = known.instance
  return (first: PlanCandidate, then: PlanCandidate): boolean =>
    first.fixes.some(
      ({ cause, probability }) =>
        probability >= ROOT_PROBABILITY &&
        release.causes[keys[cause]!.cause]!.rootOf.some((leaf) =>
          then.fixes.some((fix) => keys[fix.cause]!.cause === leaf),
        ),
    )
}

/**
 * Whether one remedy is done, for next to nothing, inside the housing that another closes: then it is closed after it. What
 * has to be bought for more is not waited for with an open housing.
 */
function byHousing({ known }: PlanState) {
  const { keys, release } = known.instance
  const closes = ({ fixes }: PlanCandidate) =>
    fixes.every(({ cause }) => release.causes[keys[cause]!.cause]!.family === ENCLOSURE)
  return (first: PlanCandidate, then: PlanCandidate): boolean => {
    const [inside, closing] = [release.remedies[first.remedy]!, release.remedies[then.remedy]!]
    if (!closes(then) || closes(first) || !CHEAP.includes(inside.cost) || !inside.disturbs.includes(OPENED))
      return false
    const isSame = inside.place === closing.place && (inside.place === BOX || isSameDevice(first, then))
    return isSame && !isRefused(first.permit) && counts(first, then)
  }
}

const isSameDevice = (one: PlanCandidate, other: PlanCandidate): boolean =>
  one.device !== undefined && one.device === other.device

/** Whether an item stands of the same part of the system as what a remedy cures, such as a battery item for a battery. */
function hasOwnItem({ known }: PlanState, { fixes }: PlanCandidate): boolean {
  const { keys, release, effects } = known.instance
  const families = new Set(fixes.map(({ cause }) => release.causes[keys[cause]!.cause]!.family))
  return known.present.some(
    ({ condition, effect }) =>
      families.has(release.conditions[condition]!.family) &&
      effects[effect]!.links.some(({ cause }) => fixes.some((fix) => fix.cause === cause)),
  )
}

/**
 * Roots before what they bring about, supply before battery before clock, what is done inside a housing before it is closed;
 * otherwise the order given. A quick free act waits for none of them that is not likely and that is refused, or whose part of
 * the system shows no item of its own.
 */
export function inTurn(state: PlanState, chosen: readonly PlanCandidate[]): PlanCandidate[] {
  const isRoot = byRoots(state)
  const isEarlier = byTurn(state, chosen)
  const isInside = byHousing(state)
  const quick = new Set(chosen.filter((candidate) => isQuickAct(state, candidate)))
  const comesFirst = (first: PlanCandidate, then: PlanCandidate) => {
    const isInVain = isRefused(first.permit) || !hasOwnItem(state, first)
    if (quick.has(then) && !quick.has(first) && !isLikely(first) && isInVain) return false
    if (isRoot(first, then)) return true
    return !isRoot(then, first) && (isEarlier(first, then) || isInside(first, then))
  }
  const seen = new Set<PlanCandidate>()
  const withEarlier = (candidate: PlanCandidate): PlanCandidate[] => {
    if (seen.has(candidate)) return []
    seen.add(candidate)
    return [...chosen.filter((other) => comesFirst(other, candidate)).flatMap(withEarlier), candidate]
  }
  return chosen.flatMap(withEarlier)
}
