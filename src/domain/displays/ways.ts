import { type DisplayProfile, marksOf, type Screen, type Way } from './profile.ts'

/** Everything a screen can lead on to: what its marks open, then what can be opened whatever it shows. */
export function waysOn(screen: Screen): Way[] {
  return [...marksOf(screen).flatMap(({ opens }) => (opens ? [opens] : [])), ...(screen.ways ?? [])]
}

/** What can be done on a screen whatever it shows: its ways, then the way back. */
export function sureWays({ ways = [], leave }: Screen): Way[] {
  return leave ? [...ways, leave] : [...ways]
}

/** Screens that can be got to from others, those included. Unknown names lead nowhere. */
export function closure(
  { screens }: DisplayProfile,
  from: Iterable<string>,
  next: (screen: Screen) => readonly string[],
): Set<string> {
  const byName = new Map(screens.map((screen) => [screen.screen, screen]))
  const seen = new Set<string>(from)
  // A Set is walked in the order of insertion, members added meanwhile included.
  for (const name of seen) {
    const screen = byName.get(name)
    if (screen) for (const to of next(screen)) seen.add(to)
  }
  return seen
}

/** Whether the start is a screen of the profile; if not, nothing can be said of what leads to it or from it. */
export function hasStart({ start, screens }: DisplayProfile): boolean {
  return screens.some(({ screen }) => screen === start)
}
