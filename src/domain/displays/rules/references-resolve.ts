import type { DisplayProfile, Screen } from '../profile.ts'
import { onEachScreen, type ProfileFault, type ProfileRule } from './rule.ts'

const RULE = 'references-resolve'

interface Reference {
  path: string
  target: string
}

function screensNamed(screen: Screen, path: string): Reference[] {
  const marks = (screen.marks ?? []).flatMap(({ opens }, at) =>
    opens ? [{ path: `${path}/marks/${at}/opens/screen`, target: opens.screen }] : [],
  )
  const ways = (screen.ways ?? []).map((way, at) => ({ path: `${path}/ways/${at}/screen`, target: way.screen }))
  const leave = screen.leave ? [{ path: `${path}/leave/screen`, target: screen.leave.screen }] : []
  return [...marks, ...ways, ...leave]
}

function conditionsNamed(screen: Screen, path: string): Reference[] {
  const own = screen.condition === undefined ? [] : [{ path: `${path}/condition`, target: screen.condition }]
  const marks = (screen.marks ?? []).flatMap(({ condition }, at) =>
    condition === undefined ? [] : [{ path: `${path}/marks/${at}/condition`, target: condition }],
  )
  return [...own, ...marks]
}

function startFault({ start, screens }: DisplayProfile): ProfileFault[] {
  if (screens.some(({ screen }) => screen === start)) return []
  const remedy = 'Start on one of the screens of the profile'
  return [{ rule: RULE, path: '/start', id: start, message: 'is not a screen of the profile', remedy }]
}

/** Every screen and every condition that is named exists. */
export const referencesResolve: ProfileRule = (profile, { conditions }) => {
  const known = new Set(profile.screens.map(({ screen }) => screen))
  const faults = onEachScreen(profile, (screen, path) => [
    ...screensNamed(screen, path)
      .filter(({ target }) => !known.has(target))
      .map(({ path: at, target }) => ({
        rule: RULE,
        path: at,
        id: target,
        message: 'is not a screen of the profile',
        remedy: 'Describe that screen or correct its name',
      })),
    ...conditionsNamed(screen, path)
      .filter(({ target }) => !conditions.has(target))
      .map(({ path: at, target }) => ({
        rule: RULE,
        path: at,
        id: target,
        message: 'is not a condition of the release',
        remedy: 'Name a condition of the release; search finds it by other names',
      })),
  ])
  return [...startFault(profile), ...faults]
}
