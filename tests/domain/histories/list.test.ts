import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { isIntermittent, thin } from '../../../src/domain/histories/bursts.ts'
import { clean } from '../../../src/domain/histories/clean.ts'
import { clockSteps } from '../../../src/domain/histories/clock-steps.ts'
import { parseEventTime } from '../../../src/domain/histories/event-time.ts'
import { momentsOf } from '../../../src/domain/histories/moments.ts'
import { durationsMs, pair, startsOf } from '../../../src/domain/histories/pair.ts'
import type { EventState, HistoryEvent, TimedEvent } from '../../../src/domain/histories/types.ts'
import { ZoneClock } from '../../../src/domain/histories/zone-clock.ts'

const MINUTE = 60_000
const DAY = 86_400_000
const BASE = Date.UTC(2026, 0, 1)
const utc = (text: string) => Date.parse(`${text}:00Z`)

let next = 0
const event = (atMs: number, state: EventState = 'trouble', more: Partial<TimedEvent> = {}): TimedEvent => ({
  index: next++,
  atMs,
  localMs: atMs,
  kind: 'line',
  state,
  ...more,
})
const inOrder = (events: TimedEvent[]) => events.map((each, index) => ({ ...each, index }))

describe('a written time', () => {
  test('is read with and without an offset, as the calendar has it', () => {
    const date = fc.date({ min: new Date('0001-01-01'), max: new Date('9999-12-31'), noInvalidDate: true })
    fc.assert(
      fc.property(date, fc.integer({ min: -14 * 60, max: 14 * 60 }), (when, minutes) => {
        const iso = when.toISOString()
        const size = Math.abs(minutes)
        const offset = `${minutes < 0 ? '-' : '+'}${String(Math.floor(size / 60)).padStart(2, '0')}:${String(size % 60).padStart(2, '0')}`
        expect(parseEventTime(iso)).toEqual({ clockMs: when.getTime(), offsetMinutes: 0 })
        expect(parseEventTime(iso.slice(0, 23))).toEqual({ clockMs: when.getTime() })
        expect(parseEventTime(iso.replace('Z', offset))!.offsetMinutes).toBe(minutes)
      }),
    )
  })

  test.each([
    '2026-02-29T00:00',
    '2026-13-01T00:00',
    '2026-04-31 10:00',
    '2026-01-01T24:00',
    '2026-01-01T10:60',
    '2026-01-01T10:00+15:00',
  ])('is refused when no calendar has it: %s', (text) => expect(parseEventTime(text)).toBeUndefined())
  test.each(['yesterday', '2026-01-01', '01/02/2026 10:00', '', '2026-01-01T1:00'])(
    'is refused in another form: %j',
    (text) => expect(parseEventTime(text)).toBeUndefined(),
  )
})

describe('civil time', () => {
  // Summer time of the European Union: last Sundays of March and October, 01:00 UTC. Of the United States: second Sunday of March, first of November, 02:00 local.
  test.each([
    ['Europe/Madrid', '2026-03-29T00:59', '2026-03-29T01:59'],
    ['Europe/Madrid', '2026-03-29T01:00', '2026-03-29T03:00'],
    ['Europe/Madrid', '2026-10-25T00:59', '2026-10-25T02:59'],
    ['Europe/Madrid', '2026-10-25T01:00', '2026-10-25T02:00'],
    ['America/Chicago', '2026-03-08T07:59', '2026-03-08T01:59'],
    ['America/Chicago', '2026-03-08T08:00', '2026-03-08T03:00'],
    ['Asia/Kolkata', '2026-07-01T00:00', '2026-07-01T05:30'],
    ['Australia/Lord_Howe', '2026-04-04T14:59', '2026-04-05T01:59'],
    ['Australia/Lord_Howe', '2026-04-04T15:00', '2026-04-05T01:30'],
  ])('%s shows at %sZ %s', (zone, moment, local) => {
    expect(new ZoneClock(zone).localMs(utc(moment))).toBe(utc(local))
  })

  test('a local time leads to its moment and back, wherever it exists', () => {
    const clock = new ZoneClock('Europe/Madrid')
    fc.assert(
      fc.property(fc.integer({ min: Date.UTC(1995, 0), max: Date.UTC(2037, 0) }), (localMs) => {
        const { atMs, kind } = clock.fromLocal(localMs)
        if (kind === 'never') expect(clock.localMs(atMs)).toBe(localMs + 60 * MINUTE)
        else expect(clock.localMs(atMs)).toBe(localMs)
      }),
    )
  })

  test('an hour that comes twice is taken the first time, one that is skipped as if the clock had not moved', () => {
    const clock = new ZoneClock('Europe/Madrid')
    expect(clock.fromLocal(utc('2026-10-25T02:30'))).toEqual({ atMs: utc('2026-10-25T00:30'), kind: 'twice' })
    expect(clock.fromLocal(utc('2026-03-29T02:30'))).toEqual({ atMs: utc('2026-03-29T01:30'), kind: 'never' })
    expect(clock.fromLocal(utc('2026-03-29T03:30')).kind).toBe('plain')
  })

  test.each(['Mars/Base', '+02:00', '', 'Europe/Madrid; drop'])('an unknown zone is refused by name: %j', (zone) => {
    expect(() => new ZoneClock(zone)).toThrow(expect.objectContaining({ code: 'UNKNOWN_ID' }))
  })

  test('the same hour of the wall clock stays the same hour over the change to summer time', () => {
    const moments = ['2026-03-20T02:00', '2026-04-20T01:00'].map((text) => parseEventTime(`${text}Z`)!)
    const events = moments.map((time): HistoryEvent => ({ time, kind: 'line', state: 'trouble' }))
    const hours = momentsOf(events, 'Europe/Madrid').events.map(({ localMs }) => (localMs % DAY) / 3_600_000)
    expect(hours).toEqual([3, 3])
  })
})

describe('cleaning', () => {
  const anyEvents = fc.array(
    fc.record({
      atMs: fc.oneof(
        fc.integer({ min: BASE, max: BASE + 30 * MINUTE }),
        fc.integer({ min: 0, max: Date.UTC(2040, 0) }),
      ),
      state: fc.constantFrom<EventState>('trouble', 'restore'),
      device: fc.constantFrom('1', '2'),
    }),
    { maxLength: 60 },
  )

  test('loses no event: each is kept or named with its reason', () => {
    fc.assert(
      fc.property(anyEvents, (list) => {
        const events = inOrder(list.map(({ atMs, ...more }) => event(atMs, more.state, more)))
        const { events: kept, ...out } = clean(events, { fromMs: BASE - DAY })
        const named = [...kept.map(({ index }) => index), ...Object.values(out).flat()]
        expect(named.sort((a, b) => a - b)).toEqual(events.map(({ index }) => index))
      }),
    )
  })

  test('keeps the order of time', () => {
    const kept = clean(inOrder([event(BASE + DAY), event(BASE), event(BASE + DAY / 2)])).events
    expect(kept.map(({ atMs }) => atMs - BASE)).toEqual([0, DAY / 2, DAY])
  })

  test('drops the same report within a minute, not the next one of another device or after a restore', () => {
    const events = inOrder([
      event(BASE),
      event(BASE + 59_000),
      event(BASE + 59_500, 'trouble', { device: '2' }),
      event(BASE + 100_000, 'restore'),
      event(BASE + 110_000),
    ])
    expect(clean(events).repeats).toEqual([1])
  })

  test('leaves out a clock that started again in its first year, and a stretch years away', () => {
    const usual = Array.from({ length: 5 }, (_, day) => event(BASE + day * DAY))
    const events = inOrder([...usual, event(Date.UTC(2000, 0, 1)), event(Date.UTC(2036, 1, 7))])
    const { beforePlausibleYear, farAway, events: kept } = clean(events)
    expect([beforePlausibleYear, farAway, kept.length]).toEqual([[5], [6], 5])
  })
})

describe('steps of the clock', () => {
  const list = (...hours: number[]) => inOrder(hours.map((hour) => event(BASE + hour * 60 * MINUTE)))

  test('are found where a list goes back by more than an hour', () => {
    const rising = [...Array.from({ length: 15 }, (_, hour) => hour), 9, 20, 21]
    const { order, count, steps } = clockSteps(list(...rising))
    expect([order, count, steps[0]!.backMs]).toEqual(['oldest-first', 1, 5 * 60 * MINUTE])
  })

  test('are found in a list with the newest first', () => {
    const falling = [...Array.from({ length: 15 }, (_, hour) => hour), 9, 20, 21].toReversed()
    expect(clockSteps(list(...falling))).toMatchObject({ order: 'newest-first', count: 1 })
  })

  test('are not told of a list in no order', () => {
    expect(clockSteps(list(5, 1, 9, 3, 7, 2))).toEqual({ order: 'none', count: 0, steps: [] })
  })
})

describe('pairing', () => {
  const points = fc.array(
    fc.record({
      gap: fc.integer({ min: 0, max: 10 }),
      state: fc.constantFrom<EventState>('trouble', 'restore'),
      kind: fc.constantFrom('line', 'mains'),
      device: fc.constantFrom('1', '2', undefined),
    }),
    { maxLength: 80 },
  )

  test('loses no event: each is a start, an end or a repeat', () => {
    fc.assert(
      fc.property(points, (list) => {
        let atMs = BASE
        const events = inOrder(
          list.map(({ gap, device, ...more }) => {
            atMs += gap * MINUTE
            return event(atMs, more.state, { ...more, ...(device !== undefined && { device }) })
          }),
        )
        const series = pair(events)
        const counted = series.map(({ intervals, repeats }) =>
          intervals.reduce((sum, { start, end }) => sum + Number(!!start) + Number(!!end), repeats),
        )
        expect(counted).toEqual(series.map((one) => one.events))
        expect(counted.reduce((sum, each) => sum + each, 0)).toBe(events.length)
      }),
    )
  })

  test('an interval never ends before it begins, and never over the next one', () => {
    fc.assert(
      fc.property(points, (list) => {
        let atMs = BASE
        const events = inOrder(
          list.map(({ gap, state }) => {
            atMs += gap * MINUTE
            return event(atMs, state)
          }),
        )
        for (const { intervals } of pair(events)) {
          const times = intervals.flatMap(({ start, end }) => [start, end].flatMap((each) => each?.atMs ?? []))
          expect(times).toEqual([...times].sort((a, b) => a - b))
        }
      }),
    )
  })

  test('a second trouble while one stands is a repeat, and the last one open still stands', () => {
    const [series] = pair([event(0), event(DAY), event(2 * DAY, 'restore'), event(3 * DAY)])
    expect(series).toMatchObject({ repeats: 1, keepsRestores: true })
    expect(durationsMs(series!.intervals)).toEqual([2 * DAY])
    expect(series!.intervals.at(-1)!.end).toBeUndefined()
  })

  test('a restore without a trouble is an interval of unknown start', () => {
    const [series] = pair([event(0, 'restore'), event(DAY)])
    expect(series!.intervals[0]!.start).toBeUndefined()
    expect(startsOf(series!)).toHaveLength(1)
  })

  test('where no restore is kept, every trouble is a start', () => {
    const [series] = pair([event(0), event(DAY), event(2 * DAY)])
    expect([startsOf(series!).length, series!.repeats, series!.keepsRestores]).toEqual([3, 0, false])
  })
})

describe('bursts', () => {
  const startsAt = (...minutes: number[]) => inOrder(minutes.map((minute) => event(BASE + minute * MINUTE)))

  test('forty starts in one night are one event', () => {
    const night = Array.from({ length: 40 }, (_, index) => 3 * index)
    const { independent, bursts } = thin(startsAt(...night))
    expect([independent.length, bursts.map(({ count }) => count)]).toEqual([1, [40]])
  })

  test('two starts close together stay two', () => {
    expect(thin(startsAt(0, 2, 3000, 6000)).independent).toHaveLength(4)
  })

  test('no start is lost between bursts and single starts', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 5000 }), { maxLength: 60 }), (minutes) => {
        const starts = startsAt(...minutes.sort((a, b) => a - b))
        const { independent, bursts } = thin(starts)
        const more = bursts.reduce((sum, { count }) => sum + count - 1, 0)
        expect(independent.length + more).toBe(starts.length)
      }),
    )
  })

  test('short and often within a day is intermittent; short but seldom, or long, is not', () => {
    const often = startsAt(0, 60, 120, 180, 240)
    const seldom = startsAt(0, 1000, 2000, 3000, 4000)
    expect(isIntermittent(often, [MINUTE, MINUTE, 2 * MINUTE])).toBe(true)
    expect(isIntermittent(seldom, [MINUTE, MINUTE, 2 * MINUTE])).toBe(false)
    expect(isIntermittent(often, [MINUTE, 30 * MINUTE, 40 * MINUTE])).toBe(false)
  })
})
