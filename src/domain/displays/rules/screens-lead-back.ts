import { closure, hasStart, sureWays } from '../ways.ts'
import { onEachScreen, type ProfileRule } from './rule.ts'

/** From every screen the caller gets back to the start by acts that do not depend on what is shown. */
export const screensLeadBack: ProfileRule = (profile) =>
  onEachScreen(profile, (screen, path) => {
    if (!hasStart(profile)) return []
    const reached = closure(profile, [screen.screen], (from) => sureWays(from).map((way) => way.screen))
    if (reached.has(profile.start)) return []
    const remedy = 'Say in leave how to get out of it, and to which screen'
    return [{ rule: 'screens-lead-back', path, id: screen.screen, message: 'has no way back to the start', remedy }]
  })
