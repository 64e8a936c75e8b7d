import { marksOf } from '../profile.ts'
import { onEachScreen, type ProfileRule } from './rule.ts'

/** A look cannot end what stands: a screen that clears by being viewed shows what was earlier. */
export const viewingClearsMemoryOnly: ProfileRule = (profile) =>
  onEachScreen(profile, (screen, path) => {
    const ofNow = marksOf(screen).find(({ tense, condition }) => tense === 'now' && condition !== undefined)
    if (screen.clearsByViewing === undefined || ofNow === undefined) return []
    const message = `clears by being viewed, but ${ofNow.mark} is said to stand now`
    const remedy = 'Set its tense to earlier, or leave clearsByViewing out'
    return [{ rule: 'viewing-clears-memory-only', path, id: screen.screen, message, remedy }]
  })
