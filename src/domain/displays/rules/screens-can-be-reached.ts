import { closure, hasStart, waysOn } from '../ways.ts'
import { onEachScreen, type ProfileRule } from './rule.ts'

/** Every screen can be opened from the start, by marks and ways; a way back does not count. */
export const screensCanBeReached: ProfileRule = (profile) => {
  if (!hasStart(profile)) return []
  const reached = closure(profile, [profile.start], (screen) => waysOn(screen).map((way) => way.screen))
  return onEachScreen(profile, ({ screen }, path) =>
    reached.has(screen)
      ? []
      : [
          {
            rule: 'screens-can-be-reached',
            path,
            id: screen,
            message: 'cannot be opened from the start',
            remedy: 'Say which mark opens it, or put it among the ways of a screen',
          },
        ],
  )
}
