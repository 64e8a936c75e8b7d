import { DomainError } from '../errors.ts'
import { refuseTogether } from '../quantities/within.ts'
import { type DisplayProfile, type LaidMark, marksOf, type Screen, spokenForm } from './profile.ts'

/** What the caller says of one screen; several records of one screen add up. */
export interface Observation {
  screen: string
  /** Marks that are on. */
  on: readonly string[]
  /** Marks that are off. */
  off?: readonly string[] | undefined
  /** Everything that the screen shows has been read. */
  readToTheEnd?: boolean | undefined
}

/** A screen with all that is known of it. */
export interface SeenScreen {
  screen: Screen
  marks: LaidMark[]
  /** Spoken forms of the marks that are on. */
  on: ReadonlySet<string>
  off: ReadonlySet<string>
  isRead: boolean
  /** The screen says itself that nothing it could show stands. */
  isAllClear: boolean
  /** A mark that stands for something is on. */
  isShowing: boolean
  isObserved: boolean
}
export interface Seen {
  screens: ReadonlyMap<string, SeenScreen>
  start: string
  /** Where the caller is: the screen last spoken of, or else the start. */
  at: string
}

/** Names shown in a refusal. */
const MOST_NAMED = 12

function refuseUnknown(what: string, path: string, value: string, known: readonly string[]): never {
  const limit = known.slice(0, MOST_NAMED).join(', ') + (known.length > MOST_NAMED ? ', ...' : '')
  throw new DomainError('UNKNOWN_ID', `${what} must be one of ${limit}, got ${value}`, { path, limit, value })
}

/** A check for each name of one observation. */
function checksOf(byName: ReadonlyMap<string, Screen>, { screen, on, off = [] }: Observation, at: number) {
  const path = `/observed/${at}`
  const known = byName.get(screen)
  if (!known) return [() => refuseUnknown('screen', `${path}/screen`, screen, [...byName.keys()])]
  const marks = marksOf(known)
  const spoken = new Set(marks.map((mark) => mark.spoken))
  const names = marks.map(({ mark }) => mark)
  const check = (mark: string, pointer: string) => () => {
    if (!spoken.has(spokenForm(mark))) refuseUnknown(`mark of screen ${screen}`, pointer, mark, names)
  }
  return [
    ...on.map((mark, index) => check(mark, `${path}/on/${index}`)),
    ...off.map((mark, index) => check(mark, `${path}/off/${index}`)),
  ]
}

function seeScreen(screen: Screen, observed: readonly Observation[]): SeenScreen {
  const own = observed.filter((one) => one.screen === screen.screen)
  const marks = marksOf(screen)
  const on = new Set(own.flatMap((one) => one.on.map(spokenForm)))
  const off = new Set(own.flatMap(({ off: stated = [] }) => stated.map(spokenForm)))
  const isAllClear = marks.some((mark) => mark.isAllClear && on.has(mark.spoken))
  const isRead = isAllClear || own.some(({ readToTheEnd }) => readToTheEnd === true)
  const isShowing = marks.some((mark) => !mark.isAllClear && on.has(mark.spoken))
  return { screen, marks, on, off, isRead, isAllClear, isShowing, isObserved: own.length > 0 }
}

/**
 * What has been said of each screen of a profile.
 *
 * @param profile - one that breaks no rule
 * @param observed - in the order in which the caller went; the last record is where the caller is
 * @throws DomainError UNKNOWN_ID for a screen or a mark that the profile does not have, all of them at once
 */
export function see(profile: DisplayProfile, observed: readonly Observation[]): Seen {
  const byName = new Map(profile.screens.map((screen) => [screen.screen, screen]))
  refuseTogether(observed.flatMap((observation, at) => checksOf(byName, observation, at)))
  const screens = new Map(profile.screens.map((screen) => [screen.screen, seeScreen(screen, observed)]))
  return { screens, start: profile.start, at: observed.at(-1)?.screen ?? profile.start }
}
