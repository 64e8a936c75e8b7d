import type { LaidMark } from './profile.ts'
import type { Seen, SeenScreen } from './seen.ts'

export type MarkState = 'on' | 'off' | 'unknown'

/** A mark with what is known of it. */
export interface JudgedMark {
  mark: LaidMark
  state: MarkState
}
export interface JudgedScreen extends SeenScreen {
  judged: readonly JudgedMark[]
  /** The caller can get to see it, now or once other screens are read. */
  mayBeOpened: boolean
}
export type Judged = ReadonlyMap<string, JudgedScreen>

/**
 * What was seen says of a mark. On a screen that shows only some of what stands, a mark that is not on says nothing.
 */
function stateOf({ screen, on, off, isRead, isAllClear }: SeenScreen, { spoken }: LaidMark): MarkState {
  if (on.has(spoken)) return 'on'
  if (isAllClear) return 'off'
  return screen.isComplete && (isRead || off.has(spoken)) ? 'off' : 'unknown'
}

/** The start, some screens, and everything that can be come to from them. */
function spread(
  { screens, start }: Seen,
  others: readonly string[],
  next: (screen: SeenScreen) => readonly string[],
): Set<string> {
  const reached = new Set([start, ...others])
  // A Set is walked in the order of insertion, members added meanwhile included.
  for (const name of reached) for (const to of next(screens.get(name)!)) reached.add(to)
  return reached
}

/** Screens opened by the marks whose state qualifies. */
const openedFrom = (seen: SeenScreen, qualifies: (state: MarkState) => boolean): string[] =>
  seen.marks.flatMap((mark) => (mark.opens && qualifies(stateOf(seen, mark)) ? [mark.opens.screen] : []))

const waysFrom = ({ screen }: SeenScreen): string[] => (screen.ways ?? []).map((way) => way.screen)

/** Screens that may show something: only the marks that open a screen, and nothing else, can tell that it is empty. */
function screensThatMayHold(seen: Seen): Set<string> {
  const all = [...seen.screens.values()]
  const showing = all.flatMap(({ screen, isShowing }) => (isShowing ? [screen.screen] : []))
  const besideMarks = all.flatMap(waysFrom)
  return spread(seen, [...showing, ...besideMarks], (screen) => openedFrom(screen, (state) => state !== 'off'))
}

/** Screens that the caller is on or can come to, now or once the screens before them are read. */
function screensThatMayBeOpened(seen: Seen): Set<string> {
  return spread(seen, [seen.at], (screen) => [
    ...waysFrom(screen),
    ...openedFrom(screen, (state) => state === 'on' || (state === 'unknown' && !screen.isRead)),
  ])
}

/**
 * What is known of every mark: seen, or followed from the marks that would open its screen. A screen shows nothing when
 * none of the marks that open it is on and nothing else leads to it.
 */
export function judge(seen: Seen): Judged {
  const mayHold = screensThatMayHold(seen)
  const mayBeOpened = screensThatMayBeOpened(seen)
  const judged = [...seen.screens].map(([name, screen]): [string, JudgedScreen] => {
    const isEmpty = !mayHold.has(name)
    const marks = screen.marks.map((mark) => ({ mark, state: isEmpty ? ('off' as const) : stateOf(screen, mark) }))
    return [name, { ...screen, judged: marks, mayBeOpened: mayBeOpened.has(name) }]
  })
  return new Map(judged)
}
