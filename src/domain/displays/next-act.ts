import type { Facts } from './facts.ts'
import { type HiddenScreen, openMarks } from './hidden.ts'
import type { Judged, JudgedScreen } from './mark-states.ts'
import type { Way } from './profile.ts'
import { sureWays } from './ways.ts'

/** What the caller does next, word for word. */
export interface NextAct {
  act: string
  /** Screen that it reads. */
  screen: string
  title: string
  /** Conditions that it tells something of, on that screen or by what the marks there would open. */
  reveals: string[]
  /** Acts in a row, reading not counted; 0 where the caller stands on the screen. */
  steps: number
}

/** What can be done on a screen as it is known: what its lit marks open, and what does not depend on them. */
function openWays({ screen, judged }: JudgedScreen): Way[] {
  const lit = judged.flatMap(({ mark, state }) => (mark.opens && state === 'on' ? [mark.opens] : []))
  return [...lit, ...sureWays(screen)]
}

/**
 * Fewest acts from a screen to each other one. A memory that is still to be read, and that a look clears, is no way through.
 */
function routes(judged: Judged, from: string, hidden: ReadonlySet<string>): Map<string, string[]> {
  const acts = new Map<string, string[]>([[from, []]])
  // A Map is walked in the order of insertion, members added meanwhile included: nearest first.
  for (const [name, before] of acts) {
    const screen = judged.get(name)!
    const isFragile = screen.screen.clearsByViewing !== undefined && hidden.has(name) && name !== from
    if (isFragile) continue
    for (const { screen: to, act } of openWays(screen)) if (!acts.has(to)) acts.set(to, [...before, act])
  }
  return acts
}

/** Conditions told by a screen's open marks, and by those of the screens that these marks could open. */
function revealedBy(judged: Judged, facts: Facts, hidden: ReadonlyMap<string, HiddenScreen>, name: string): string[] {
  const conditions = new Set<string>()
  const behind = new Set([name])
  for (const reached of behind) {
    for (const { condition } of hidden.get(reached)?.conditions ?? []) conditions.add(condition)
    for (const { mark } of openMarks(facts, judged.get(reached)!)) if (mark.opens) behind.add(mark.opens.screen)
  }
  return [...conditions]
}

/** The caller stands on the screen and has begun to read it. */
const isBegun = ({ isObserved }: JudgedScreen, steps: number): boolean => isObserved && steps === 0

function wordsFor(judged: JudgedScreen, route: readonly string[]): string {
  const { goOn, repeat, read, clearsByViewing } = judged.screen
  if (isBegun(judged, route.length)) return goOn ?? repeat ?? read
  const caution = clearsByViewing === undefined ? [] : [clearsByViewing]
  return [...caution, ...route, read].join(' ')
}

/** What a look clears is read last, and once begun, first. */
function turnOf(judged: JudgedScreen, steps: number): number {
  if (judged.screen.clearsByViewing === undefined) return 0
  return isBegun(judged, steps) ? -1 : 1
}

/**
 * Better first: in its turn where a look clears it; then most conditions an act, the reading counted as one,
 * then what surely shows something, then fewer acts.
 */
function compare(judged: Judged, hidden: ReadonlyMap<string, HiddenScreen>) {
  const turn = ({ screen, steps }: NextAct) => turnOf(judged.get(screen)!, steps)
  const worth = ({ reveals, steps }: NextAct) => reveals.length / (steps + 1)
  const certain = ({ screen }: NextAct) => Number(hidden.get(screen)!.isCertain)
  return (a: NextAct, b: NextAct) =>
    turn(a) - turn(b) || worth(b) - worth(a) || certain(b) - certain(a) || a.steps - b.steps
}

/**
 * The act that tells most for what it asks of the caller; of equals the one named first in the profile.
 *
 * @param from - screen on which the caller is
 * @returns undefined only when nothing is hidden
 */
export function nextAct(
  judged: Judged,
  facts: Facts,
  hiddenScreens: readonly HiddenScreen[],
  from: string,
): NextAct | undefined {
  const hidden = new Map(hiddenScreens.map((one) => [one.screen, one]))
  const acts = routes(judged, from, new Set(hidden.keys()))
  const offers = hiddenScreens.flatMap(({ screen, title }): NextAct[] => {
    const route = acts.get(screen)
    if (!route) return []
    const act = wordsFor(judged.get(screen)!, route)
    return [{ act, screen, title, reveals: revealedBy(judged, facts, hidden, screen), steps: route.length }]
  })
  return offers.sort(compare(judged, hidden))[0]
}
