import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { analyseHistory, type HistoryInput } from '../../../src/domain/histories/analyse-history.ts'
import { endurance } from '../../../src/domain/histories/endurance.ts'
import { pair } from '../../../src/domain/histories/pair.ts'
import { succession } from '../../../src/domain/histories/succession.ts'
import type { EventState, HistoryEvent, TestName, TimedEvent } from '../../../src/domain/histories/types.ts'
import { drawsFrom } from '../../../src/tools/cases/draws.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
const BASE = Date.UTC(2026, 0, 1)

/** An event by the clock of the place. */
const local = (clockMs: number, state: EventState, kind = 'line'): HistoryEvent => ({ time: { clockMs }, kind, state })
const spell = (fromMs: number, lengthMs: number, kind = 'line') => [
  local(fromMs, 'trouble', kind),
  local(fromMs + lengthMs, 'restore', kind),
]
const analyse = (events: HistoryEvent[], more: Partial<HistoryInput> = {}) =>
  analyseHistory({
    events,
    successions: [{ first: 'mains', second: 'low', withinHours: 24 }],
    battery: { mains: 'mains', low: 'low' },
    mostSeries: 10,
    ...more,
  })
const testOf = ({ series }: ReturnType<typeof analyse>, name: TestName, at = 0) =>
  series[at]!.tests.find(({ test: each }) => each === name)

describe('a telephone line lost at three every night', () => {
  const draw = drawsFrom(3)
  const nights = Array.from(
    { length: 14 },
    (_, night) => BASE + (80 + night) * DAY + 3 * HOUR + Math.round(20 * draw()) * MINUTE,
  )
  const events = nights.flatMap((fromMs) => spell(fromMs, 12 * MINUTE))
  const result = analyse(events, { zone: 'Europe/Madrid' })

  test('is a clear pattern at that hour, over the change to summer time', () => {
    const { timeOfDay } = result.series[0]!
    expect(testOf(result, 'rayleigh')).toMatchObject({ isClear: true, n: 14 })
    expect(testOf(result, 'rayleigh')!.p).toBeLessThan(1e-6)
    expect(timeOfDay!.summary.meanHours).toBeCloseTo(3.17, 1)
    expect(timeOfDay!.arc.fromHours).toBeGreaterThanOrEqual(3)
    expect(timeOfDay!.arc.toHours).toBeLessThan(3.34)
    expect(timeOfDay!.nightShare).toBe(1)
  })

  test('is the same when the list gives moments in UTC', () => {
    const inUtc = events.map(({ time, ...rest }) => {
      const isSummer = time!.clockMs >= Date.UTC(2026, 2, 29, 2)
      return { ...rest, time: { clockMs: time!.clockMs - (isSummer ? 2 : 1) * HOUR, offsetMinutes: 0 } }
    })
    const other = analyse(inUtc, { zone: 'Europe/Madrid' })
    expect(other.series[0]!.timeOfDay).toEqual(result.series[0]!.timeOfDay)
  })

  test('is paired into spells of twelve minutes that all ended', () => {
    expect(result.series[0]!.durations).toMatchObject({ whole: 14, medianMs: 12 * MINUTE })
    expect(result.series[0]!.isStanding).toBe(false)
  })

  test('is no trend and no change of rate', () => {
    expect(testOf(result, 'laplace')!.isClear).toBe(false)
  })
})

describe('what is not a pattern', () => {
  test('losses at any hour are seldom called one, and every p counts all tests', () => {
    let clear = 0
    for (let seed = 1; seed <= 200; seed++) {
      const draw = drawsFrom(seed)
      const fromMs = Array.from({ length: 12 }, () => BASE + Math.floor(60 * DAY * draw())).sort((a, b) => a - b)
      const result = analyse(fromMs.flatMap((each) => spell(each, MINUTE)))
      if (result.series[0]!.tests.some(({ isClear }) => isClear)) clear++
    }
    // 5 % of 200 histories are 10; three standard deviations above are 19.
    expect(clear).toBeLessThanOrEqual(19)
  })

  test('forty losses in one bad night prove no hour', () => {
    const events = Array.from({ length: 40 }, (_, index) => spell(BASE + 3 * HOUR + index * 3 * MINUTE, MINUTE)).flat()
    const { series, tests } = analyse(events)
    expect(series[0]).toMatchObject({ bursts: [{ count: 40 }], isIntermittent: true })
    expect(series[0]!.timeOfDay!.reason).toBe('too-few-starts')
    expect(tests).toBe(0)
  })

  test('six losses on two days are too few days', () => {
    const events = [0, 1].flatMap((day) => [3, 5, 7].flatMap((hour) => spell(BASE + day * DAY + hour * HOUR, MINUTE)))
    expect(analyse(events).series[0]!.timeOfDay!.reason).toBe('too-few-days')
  })
})

test('two hours twelve hours apart show on the half-day dial, where the Rayleigh test is blind', () => {
  const events = Array.from({ length: 20 }, (_, index) =>
    spell(BASE + index * DAY + (index % 2 === 0 ? 6 : 18) * HOUR, MINUTE),
  ).flat()
  const result = analyse(events)
  expect(testOf(result, 'rayleigh')!.isClear).toBe(false)
  expect(testOf(result, 'rayleigh-half-day')!.isClear).toBe(true)
})

test('the same weekday shows over the weeks', () => {
  const events = Array.from({ length: 16 }, (_, week) =>
    spell(BASE + week * 7 * DAY + (week % 5) * 2 * HOUR, MINUTE),
  ).flat()
  const result = analyse(events)
  expect(testOf(result, 'rayleigh-week')!.isClear).toBe(true)
  // 2026-01-01 was a Thursday: 72 to 96 hours after Monday 00:00.
  expect(result.series[0]!.weekday!.summary.meanHours).toBeGreaterThan(72)
  expect(result.series[0]!.weekday!.summary.meanHours).toBeLessThan(96)
})

test('the hour that was expected is tested by itself', () => {
  const events = Array.from({ length: 8 }, (_, day) => spell(BASE + day * DAY + 4 * HOUR + day * MINUTE, MINUTE)).flat()
  expect(testOf(analyse(events, { expectedHour: 4 }), 'expected-hour')!.isClear).toBe(true)
  expect(testOf(analyse(events, { expectedHour: 16 }), 'expected-hour')!.isClear).toBe(false)
})

describe('the course over time', () => {
  const spread = (days: readonly number[]) =>
    days.flatMap((day) => spell(BASE + day * DAY + ((day * 7) % 24) * HOUR, MINUTE))
  const watch = { fromMs: BASE, toMs: BASE + 120 * DAY }

  test('nine losses in a month after three in the three before are clearly more', () => {
    const result = analyse(spread([10, 40, 70, 92, 95, 98, 101, 104, 107, 110, 113, 116]), { watch })
    // The same counts and times as the check value of 9 against 3 in 30 against 90 days.
    expect(result.series[0]!.change).toMatchObject({ recent: { count: 9, days: 30 }, before: { count: 3, days: 90 } })
    expect(result.series[0]!.change!.p).toBeCloseTo(0.000391662121, 9)
    expect(testOf(result, 'rate-change')!.isClear).toBe(true)
    expect(result.series[0]!.trend!.laplaceZ).toBeGreaterThan(0)
  })

  test('events that set the edges of an open watch are no part of its trend', () => {
    const result = analyse([0, 10, 20, 30, 40, 50, 60].flatMap((day) => spell(BASE + day * DAY, MINUTE)))
    expect(result.series[0]!.trend!.n).toBe(5)
    expect(result.series[0]!.trend!.laplaceZ).toBeCloseTo(0, 1)
  })

  test('what lies outside the watch is left out and counted', () => {
    const result = analyse(spread([10, 130]), { watch })
    expect([result.cleaned.kept, result.cleaned.outsideWatch.length]).toEqual([2, 2])
  })
})

describe('succession', () => {
  const watch = { fromMs: 0, toMs: 100 * DAY }
  const firsts = Array.from({ length: 10 }, (_, index) => (5 + 9 * index) * DAY)

  test('a low battery after nine of ten mains losses is no accident', () => {
    const seconds = firsts.slice(0, 9).map((atMs) => atMs + 3 * HOUR)
    const { windows, followed, medianLagHours, p } = succession(firsts, seconds, 24, watch)
    expect([windows, followed, medianLagHours]).toEqual([10, 9, 3])
    expect(p).toBeLessThan(1e-9)
  })

  test('a low battery that comes every day follows everything, by accident', () => {
    const seconds = Array.from({ length: 100 }, (_, day) => day * DAY + HOUR)
    const { followed, p, chance } = succession(firsts, seconds, 24, watch)
    // Every day of 24 h holds one: seen in all, and expected in 1 - 1/e of them.
    expect(followed).toBe(10)
    expect(chance).toBeCloseTo(1 - Math.exp(-1), 1)
    expect(p).toBeGreaterThan(0.005)
  })

  test('windows that overlap are one, so that a flapping loss counts once', () => {
    const flapping = [0, HOUR, 2 * HOUR].map((after) => 5 * DAY + after)
    expect(succession(flapping, [5 * DAY + 3 * HOUR], 24, watch)).toMatchObject({
      windows: 1,
      followed: 1,
      medianLagHours: 1,
    })
  })

  test('counts add up whatever the times, and p is a probability', () => {
    const moments = fc
      .array(fc.integer({ min: 0, max: 100 * DAY }), { maxLength: 40 })
      .map((list) => list.sort((a, b) => a - b))
    fc.assert(
      fc.property(moments, moments, fc.integer({ min: 1, max: 300 }), (one, other, hours) => {
        const { windows, followed, p = 0.5, chance, medianLagHours = 0 } = succession(one, other, hours, watch)
        expect(windows).toBeLessThanOrEqual(one.length)
        expect(followed).toBeLessThanOrEqual(Math.min(windows, other.length))
        for (const each of [p, chance]) expect(each >= 0 && each <= 1, String(each)).toBe(true)
        expect(medianLagHours).toBeGreaterThanOrEqual(0)
        expect(medianLagHours).toBeLessThanOrEqual(hours)
      }),
    )
  })
})

describe('the endurance of the battery', () => {
  const at = (atMs: number, state: EventState, kind: string, index: number): TimedEvent => ({
    index,
    atMs,
    localMs: atMs,
    kind,
    state,
  })
  /** Mains failures ten days apart that ran down to the signal after so many hours; a negative time ended before it. */
  function failures(...hours: number[]) {
    const events = hours.flatMap((length, index) => {
      const from = index * 10 * DAY
      const toMs = from + Math.abs(length) * HOUR
      const signal = length > 0 ? [at(toMs, 'trouble', 'low', index)] : []
      const end = length > 0 ? toMs + HOUR : toMs
      const clear = length > 0 ? [at(end + HOUR, 'restore', 'low', index)] : []
      return [at(from, 'trouble', 'mains', index), ...signal, at(end, 'restore', 'mains', index), ...clear]
    })
    const series = pair(events)
    const of = (kind: string) => series.find((one) => one.kind === kind) ?? { intervals: [] }
    return [of('mains'), of('low')] as const
  }

  test('a failure that ends before the signal is a lower bound, not an end', () => {
    const { outages, whole, medianHours } = endurance(...failures(6, -8, 9))
    expect(outages.map(({ hours, isEnded }) => [hours, isEnded])).toEqual([
      [6, true],
      [8, false],
      [9, true],
    ])
    expect([whole, medianHours]).toEqual([2, 9])
  })

  test('times that shrink from failure to failure have a slope and its exact probability', () => {
    const { slope } = endurance(...failures(8, 7, 6, 5, 4))
    // One hour in ten days is 36.525 hours in a year of 365.25 days.
    expect(slope!.slope).toBeCloseTo(-36.525, 6)
    expect(slope!.p).toBeCloseTo(2 / 120, 12)
  })

  test('the capacity is that of the check value for one outage', () => {
    const rows: any[] = JSON.parse(readFileSync('tests/reference/power/health.json', 'utf8'))
    const { given, expected } = rows.find(({ id }) => id === 'soh-01')
    const { outages, capacity } = endurance(...failures(given.elapsedHours), { loadCurrentA: given.loadCurrentA })
    expect(outages[0]!.capacityAh).toBeCloseTo(Number(expected.equivalentCapacityAh), 3)
    expect(capacity!.lowAh).toBeLessThan(capacity!.ah)
    expect(capacity!.highAh).toBeGreaterThan(capacity!.ah)
  })

  test('a failure without a signal gives only what it drew', () => {
    const { capacity, atLeastAh } = endurance(...failures(-5), { loadCurrentA: 0.4 })
    expect(capacity).toBeUndefined()
    expect(atLeastAh).toBeCloseTo(2, 9)
  })

  test('a failure soon after another gives no capacity: the battery may not have been full', () => {
    const events = [
      at(0, 'trouble', 'mains', 0),
      at(HOUR, 'restore', 'mains', 1),
      at(3 * HOUR, 'trouble', 'mains', 2),
      at(5 * HOUR, 'trouble', 'low', 3),
      at(6 * HOUR, 'restore', 'mains', 4),
    ]
    const [mains, low] = pair(events)
    expect(endurance(mains!, low!, { loadCurrentA: 0.4 }).capacity).toBeUndefined()
  })
})

describe('refusals', () => {
  const one = spell(BASE, MINUTE)
  test.each<[string, () => unknown, string, string]>([
    ['no events', () => analyse([]), 'NO_EVIDENCE', '/events'],
    ['an unknown zone', () => analyse(one, { zone: 'Mars/Base' }), 'UNKNOWN_ID', '/zone'],
    [
      'a watch that ends before it begins',
      () => analyse(one, { watch: { fromMs: 2, toMs: 1 } }),
      'QUANTITY_OUT_OF_RANGE',
      '/watch/to',
    ],
    [
      'a load that is no current',
      () => analyse(one, { battery: { mains: 'mains', low: 'low', load: { loadCurrentA: -1 } } }),
      'QUANTITY_OUT_OF_RANGE',
      '/loadCurrent',
    ],
  ])('%s', (_, run, code, path) => {
    expect(run).toThrow(expect.objectContaining({ code, detail: expect.objectContaining({ path }) }))
  })
})

test('any list gives probabilities from 0 to 1 and counts that add up, and never fails', () => {
  const anyEvent = fc.record({
    time: fc.option(fc.record({ clockMs: fc.integer({ min: Date.UTC(1998, 0), max: Date.UTC(2040, 0) }) }), {
      nil: undefined,
    }),
    kind: fc.constantFrom('mains', 'low', 'line'),
    state: fc.constantFrom<EventState>('trouble', 'restore'),
  })
  fc.assert(
    fc.property(fc.array(anyEvent, { minLength: 1, maxLength: 60 }), (events) => {
      const result = analyse(events, { battery: { mains: 'mains', low: 'low', load: { loadCurrentA: 0.3 } } })
      const { impossible } = result.moments
      const { kept, beforePlausibleYear, outsideWatch, farAway, repeats } = result.cleaned
      const out = [impossible, beforePlausibleYear, outsideWatch, farAway, repeats]
      expect(kept + out.reduce((sum, list) => sum + list.length, 0)).toBe(events.length)
      for (const { p, adjustedP } of result.series.flatMap(({ tests }) => tests)) {
        expect(p >= 0 && p <= 1, String(p)).toBe(true)
        expect(adjustedP >= p - 1e-15 && adjustedP <= 1, String(adjustedP)).toBe(true)
      }
    }),
  )
})
