import { describe, expect, test } from 'vitest'
import type { DisplayProfile, Mark, Screen } from '../../../src/domain/displays/profile.ts'
import { PROFILE_RULES, profileFaults } from '../../../src/domain/displays/profile-faults.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import {
  battery,
  mains,
  opening,
  SHIPPED,
  screenOf,
  shippedFile,
  smallProfile,
} from '../../support/display-profiles.ts'

const conditions = new Set(currentRelease().compiled.conditions.map(({ id }) => id))
const faultsOf = (profile: DisplayProfile) => profileFaults(profile, { conditions })

/** The small profile with one screen changed. */
function changed(name: string, change: Partial<Screen>): DisplayProfile {
  const profile = smallProfile()
  return {
    ...profile,
    screens: profile.screens.map((screen) => (screen.screen === name ? { ...screen, ...change } : screen)),
  }
}
const onFront = (...marks: Mark[]) => changed('front', { marks: [mains, opening('eye', 'list'), ...marks] })
const withScreen = (screen: Screen): DisplayProfile => {
  const profile = smallProfile()
  return { ...profile, screens: [...profile.screens, screen] }
}
function without(name: string, key: keyof Screen): DisplayProfile {
  const profile = smallProfile()
  const screens = profile.screens.map((screen) =>
    screen.screen === name
      ? (Object.fromEntries(Object.entries(screen).filter(([field]) => field !== key)) as unknown as Screen)
      : screen,
  )
  return { ...profile, screens }
}

test.each(SHIPPED)('%s breaks no rule', (name) => {
  expect(faultsOf(shippedFile(name))).toEqual([])
})

test('the small profile, from which the broken ones are made, breaks no rule', () => {
  expect(faultsOf(smallProfile())).toEqual([])
})

const BROKEN: [string, string, string, DisplayProfile][] = [
  ['a start that is no screen', 'references-resolve', '/start', { ...smallProfile(), start: 'attic' }],
  [
    'a mark that opens no screen',
    'references-resolve',
    '/screens/0/marks/2/opens/screen',
    onFront(opening('x', 'attic')),
  ],
  [
    'a way to no screen',
    'references-resolve',
    '/screens/0/ways/1/screen',
    changed('front', {
      ways: [
        { screen: 'past', act: 'x' },
        { screen: 'attic', act: 'x' },
      ],
    }),
  ],
  [
    'a mark with an unknown condition',
    'references-resolve',
    '/screens/0/marks/2/condition',
    onFront({ mark: 'x', condition: 'condition/mains-mising' }),
  ],
  [
    'a screen with an unknown condition',
    'references-resolve',
    '/screens/1/condition',
    changed('list', { condition: 'condition/nowhere' }),
  ],
  ['two marks of one name', 'marks-are-told-apart', '/screens/0/marks/2', onFront({ ...battery, mark: 'wave' })],
  ['two marks that sound alike', 'marks-are-told-apart', '/screens/0/marks/2', onFront({ ...battery, mark: ' WAVE ' })],
  [
    'a mark that sounds like a number',
    'marks-are-told-apart',
    '/screens/1/numbers',
    changed('list', { marks: [{ ...battery, mark: '007' }] }),
  ],
  [
    'two screens of one name',
    'marks-are-told-apart',
    '/screens/3/screen',
    withScreen(screenOf('list', { marks: [mains], leave: { screen: 'front', act: 'x' } })),
  ],
  [
    'a screen that nothing opens',
    'screens-can-be-reached',
    '/screens/3',
    withScreen(screenOf('attic', { marks: [mains], leave: { screen: 'front', act: 'x' } })),
  ],
  ['a screen without a way back', 'screens-lead-back', '/screens/1', without('list', 'leave')],
  [
    'screens that only lead back to each other',
    'screens-lead-back',
    '/screens/1',
    changed('list', { leave: { screen: 'list', act: 'x' } }),
  ],
  ['a mark that means nothing', 'screens-say-something', '/screens/0/marks/2', onFront({ mark: 'x' })],
  [
    'a mark that says all is clear and more',
    'screens-say-something',
    '/screens/0/marks/2',
    onFront({ ...battery, isAllClear: true }),
  ],
  ['a mark that opens its own screen', 'screens-say-something', '/screens/0/marks/2', onFront(opening('x', 'front'))],
  ['a screen that shows nothing', 'screens-say-something', '/screens/2', changed('past', { marks: [] })],
  ['a row of marks without a way to go on', 'screens-say-something', '/screens/1', without('list', 'goOn')],
  ['numbers without a condition', 'devices-have-condition', '/screens/1/numbers', without('list', 'condition')],
  [
    'numbers that end before they begin',
    'devices-have-condition',
    '/screens/1/numbers',
    changed('list', { numbers: { first: 5, last: 4 }, marks: [battery] }),
  ],
  [
    'a device without a condition',
    'devices-have-condition',
    '/screens/0/marks/2',
    onFront({ mark: 'x', device: 'hall' }),
  ],
  ['a look that would end what stands', 'viewing-clears-memory-only', '/screens/2', changed('past', { tense: 'now' })],
]

describe('a profile is refused, with the place and the remedy, when it has', () => {
  test.each(BROKEN)('%s', (_, rule, path, profile) => {
    const faults = faultsOf(profile)
    expect(faults.map((fault) => [fault.rule, fault.path])).toEqual([[rule, path]])
    expect(faults[0]!.remedy).not.toBe('')
  })

  test('anything that a rule is for', () => {
    expect(new Set(BROKEN.map(([, rule]) => rule)).size).toBe(PROFILE_RULES.length)
  })
})
