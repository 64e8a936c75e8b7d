import {
  array,
  assert,
  boolean,
  constantFrom,
  dictionary,
  integer,
  option,
  property,
  record,
  shuffledSubarray,
} from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  type Affects,
  type CombinedProtection,
  combineProtection,
  LOSSES,
  PROTECTION_STATES,
  PROTECTIONS,
} from '../../../src/domain/advice/protection.ts'

const READ = { isAllKnown: true }
const mainsMissing: Affects = {
  losses: {
    'life-safety': 'until-battery-ends',
    detection: 'until-battery-ends',
    sounding: 'until-battery-ends',
    reporting: 'until-battery-ends',
  },
  lasts: { battery: 'main', lowHours: 4, highHours: 24 },
}
const batteryLow: Affects = {
  losses: { 'power-reserve': 'doubtful' },
  lasts: { battery: 'main', lowHours: 0, highHours: 1 },
}
const batteryMissing: Affects = {
  losses: { 'power-reserve': 'lost' },
  lasts: { battery: 'main', lowHours: 0, highHours: 0 },
}

test('a system whose display was read just now runs still, on a battery that may end at any moment', () => {
  const { losses, state, mayStopAnyMoment } = combineProtection([mainsMissing, batteryMissing], {
    ...READ,
    isAlive: true,
  })
  expect([losses.detection, losses['power-reserve'], state, mayStopAnyMoment]).toEqual([
    'doubtful',
    'lost',
    'do-not-rely',
    true,
  ])
  const unseen = combineProtection([mainsMissing, batteryMissing], READ)
  expect([unseen.losses.detection, unseen.state, unseen.mayStopAnyMoment]).toEqual(['lost', 'not-protected', false])
  expect(combineProtection([batteryMissing], { ...READ, isAlive: true }).mayStopAnyMoment).toBe(false)
  expect(combineProtection([mainsMissing], { ...READ, isAlive: true }).mayStopAnyMoment).toBe(false)
})
const combine = (...standing: (Affects | undefined)[]) => combineProtection(standing, READ)

describe('what several conditions leave of the protection', () => {
  test('says nothing while nothing is reported and the display has not been read', () => {
    expect(combineProtection([], { isAllKnown: false })).toMatchObject({ state: 'unknown', mayBeWorse: true })
  })
  test('never says more of a display without trouble than that no loss is reported', () => {
    expect(combine()).toMatchObject({ state: 'no-loss-reported', mayBeWorse: false })
    expect(PROTECTION_STATES.filter((state) => /^works$|fully/.test(state))).toEqual([])
  })
  test('works for now on the battery while the mains is missing', () => {
    expect(combine(mainsMissing)).toMatchObject({
      state: 'works-for-now',
      until: [{ battery: 'main', lowHours: 4, highHours: 24 }],
    })
  })
  test('does not rely on a battery that is low while the mains is missing', () => {
    const { state, until } = combine(mainsMissing, batteryLow)
    expect(state).toBe('do-not-rely')
    expect(until).toEqual([{ battery: 'main', lowHours: 0, highHours: 1 }])
  })
  test('is not protected without mains and battery, though either alone leaves it working', () => {
    expect(combine(batteryMissing)).toMatchObject({ state: 'works-for-now', endsWithMains: true, until: [] })
    expect(combine(mainsMissing, batteryMissing).state).toBe('not-protected')
  })
  test("leaves a device's own cell out of what befalls the main battery", () => {
    const cellLow: Affects = {
      losses: { detection: 'until-battery-ends' },
      lasts: { battery: 'own', lowHours: 168, highHours: 1440 },
    }
    const { losses, until } = combine(cellLow, batteryMissing)
    expect(losses.detection).toBe('until-battery-ends')
    expect(until).toEqual([{ battery: 'own', lowHours: 168, highHours: 1440 }])
  })
  test('is not protected where neither the siren nor anybody outside tells of an alarm, and in part where one does', () => {
    const silent: Affects = { losses: { sounding: 'lost' } }
    expect(combine(silent).state).toBe('partly')
    expect(combine(silent, { losses: { reporting: 'lost' } }).state).toBe('not-protected')
  })
  test('is unknown where a condition does not state what it takes away', () => {
    expect(combine(undefined)).toMatchObject({ state: 'unknown', mayBeWorse: true })
  })
  test('takes a computed range in place of the usual one, and still lowers it for a reported fault', () => {
    const facts = { ...READ, mainHours: { lowHours: 30, highHours: 40 } }
    expect(combineProtection([mainsMissing], facts).until).toEqual([{ battery: 'main', lowHours: 30, highHours: 40 }])
    expect(combineProtection([mainsMissing, batteryLow], facts).until[0]!.highHours).toBe(1)
  })
  test('promises no least time once the reserve is known to be old or used', () => {
    const { until } = combineProtection([mainsMissing], { ...READ, isReserveSpent: true })
    expect(until).toEqual([{ battery: 'main', lowHours: 0, highHours: 24 }])
  })
})

const losses = dictionary(constantFrom(...PROTECTIONS), constantFrom(...LOSSES)) as never
const lasts = record({
  battery: constantFrom('main' as const, 'module' as const, 'own' as const),
  lowHours: integer({ min: 0, max: 20 }),
  highHours: integer({ min: 20, max: 2000 }),
})
const anyAffects = record({ losses, lasts: option(lasts, { nil: undefined }) }).map(
  ({ losses, lasts }) => ({ losses, ...(lasts ? { lasts } : {}) }) as Affects,
)
const anyStanding = array(option(anyAffects, { nil: undefined }), { minLength: 1, maxLength: 6 })
const anyFacts = record({ isAllKnown: boolean(), isReserveSpent: boolean() })

/** Whether a statement is nowhere better than another. */
function isNoBetter(now: CombinedProtection, before: CombinedProtection): boolean {
  const isLater = (battery: string) => {
    const of = ({ until }: CombinedProtection) => until.find((reserve) => reserve.battery === battery)
    const [old, own] = [of(before), of(now)]
    const isHigher = (field: 'lowHours' | 'highHours') =>
      old?.[field] !== undefined && (own?.[field] ?? Number.POSITIVE_INFINITY) > old[field]
    return isHigher('lowHours') || isHigher('highHours')
  }
  return (
    PROTECTION_STATES.indexOf(now.state) >= PROTECTION_STATES.indexOf(before.state) &&
    PROTECTIONS.every((name) => LOSSES.indexOf(now.losses[name]) >= LOSSES.indexOf(before.losses[name])) &&
    !['main', 'module', 'own'].some(isLater) &&
    (now.mayBeWorse || !before.mayBeWorse)
  )
}

describe('properties', () => {
  test('a further condition never makes it better', () => {
    assert(
      property(anyStanding, option(anyAffects, { nil: undefined }), anyFacts, (standing, added, facts) =>
        isNoBetter(combineProtection([...standing, added], facts), combineProtection(standing, facts)),
      ),
    )
  })
  test('the order of conditions does not matter', () => {
    const shuffled = anyStanding.chain((standing) =>
      shuffledSubarray(standing, { minLength: standing.length }).map((other) => [standing, other] as const),
    )
    assert(
      property(shuffled, anyFacts, ([standing, other], facts) => {
        expect(combineProtection(other, facts)).toEqual(combineProtection(standing, facts))
      }),
    )
  })
  test('a condition told twice counts once', () => {
    assert(
      property(anyStanding, anyFacts, (standing, facts) => {
        expect(combineProtection([...standing, ...standing], facts)).toEqual(combineProtection(standing, facts))
      }),
    )
  })
})
