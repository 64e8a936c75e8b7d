import { type Mark, marksOf, type Screen } from '../profile.ts'
import { waysOn } from '../ways.ts'
import { onEachScreen, type ProfileFault, type ProfileRule } from './rule.ts'

const RULE = 'screens-say-something'

function faultOfMark({ mark, condition, device, opens, isAllClear }: Mark, screen: Screen, path: string) {
  const says = condition !== undefined || device !== undefined || opens !== undefined
  const message =
    (!says && !isAllClear && 'means nothing') ||
    (says && isAllClear && 'says that all is clear and something else at once') ||
    (opens?.screen === screen.screen && 'opens the screen that it is on')
  if (!message) return []
  return [
    { rule: RULE, path, id: mark, message, remedy: 'Give it a condition, a device or another screen that it opens' },
  ]
}

function faultOfScreen(screen: Screen, path: string): ProfileFault[] {
  const marks = marksOf(screen)
  if (marks.length === 0 && waysOn(screen).length === 0) {
    const remedy = 'Describe its marks or take it out'
    return [{ rule: RULE, path, id: screen.screen, message: 'shows nothing and leads nowhere', remedy }]
  }
  if (screen.shows !== 'one-by-one' || marks.length < 2 || screen.goOn !== undefined) return []
  const message = 'shows one mark after the other, but not how to go on'
  return [
    { rule: RULE, path, id: screen.screen, message, remedy: 'Say in goOn what the caller does to see the next one' },
  ]
}

/** No dead ends: every mark means something, every screen shows something and can be read to its end. */
export const screensSaySomething: ProfileRule = (profile) =>
  onEachScreen(profile, (screen, path) => [
    ...faultOfScreen(screen, path),
    ...(screen.marks ?? []).flatMap((mark, at) => faultOfMark(mark, screen, `${path}/marks/${at}`)),
  ])
