import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { SignalEvent } from '../../../src/domain/signals/signal-event.ts'
import { standingSignals } from '../../../src/domain/signals/standing.ts'

const RESTORALS: Record<string, string[]> = { AR: ['AT'], YR: ['YT', 'YM'] }
const restoralOf = (_: string, code: string) => RESTORALS[code]

const event = (code: string, more: Partial<SignalEvent> = {}): SignalEvent => ({
  scheme: /^\d/.test(code) ? 'dc-05' : 'dc-03',
  code,
  kind: code in RESTORALS ? 'restore' : 'event',
  problems: [],
  ...more,
})
const zone = (number: string) => ({ address: { of: 'zone' as const, number } })
const restore = (code: string, more: Partial<SignalEvent> = {}) => event(code, { kind: 'restore', ...more })
const shown = (events: SignalEvent[]) =>
  standingSignals(events, restoralOf).map(({ code, state, from }) => `${code} ${state} ${from}`)

describe('a restoral', () => {
  test('clears the earlier event of its code', () => {
    expect(shown([event('301'), restore('301')])).toEqual(['301 absent 0,1'])
  })

  test('does not clear a later event', () => {
    expect(shown([restore('301'), event('301')])).toEqual(['301 present 0,1'])
  })

  test('does not clear another zone', () => {
    expect(shown([event('384', zone('012')), restore('384', zone('013'))])).toEqual(['384 present 0', '384 absent 1'])
  })

  test('reads 012 and 12 as one zone', () => {
    expect(shown([event('384', zone('012')), restore('384', zone('12'))])).toEqual(['384 absent 0,1'])
  })

  test('does not clear another account', () => {
    const states = shown([event('301', { account: '1234' }), restore('301', { account: '4321' })])
    expect(states).toEqual(['301 present 0', '301 absent 1'])
  })

  test('does not clear another area, but one that a signal leaves out', () => {
    const inArea = (area: string) => ({ area, ...zone('1') })
    expect(shown([event('BT', inArea('1')), restore('BT', inArea('2'))])).toEqual(['BT present 0', 'BT absent 1'])
    expect(shown([event('BT', inArea('01')), restore('BT', inArea('1'))])).toEqual(['BT absent 0,1'])
    expect(shown([event('BT', inArea('1')), restore('BT', zone('1'))])).toEqual(['BT absent 0,1'])
  })

  test('clears the codes that it is the restoral of', () => {
    expect(shown([event('AT'), event('AR')])).toEqual(['AT absent 0,1'])
    expect(shown([event('YM'), event('YR')])).toEqual(['YM absent 0,1'])
  })

  test('of one code is heard without its event', () => {
    expect(shown([event('AR')])).toEqual(['AT absent 0'])
  })

  test('of several codes, none of which was heard, says nothing of any of them', () => {
    expect(shown([event('YR')])).toEqual(['YR absent 0'])
  })

  test('by another user is of the same place', () => {
    const user = (number: string) => ({ address: { of: 'user' as const, number } })
    expect(shown([event('574', user('001')), restore('574', user('002'))])).toEqual(['574 absent 0,1'])
  })
})

describe('the order of events', () => {
  test('is that of their moments, where every one has a moment', () => {
    const back = restore('301', { at: '2027-01-01T00:10:00Z' })
    const lost = event('301', { at: '2027-01-01T01:00:00+01:00' })
    expect(shown([back, lost])).toEqual(['301 absent 0,1'])
  })

  test('is that of the text, where one has none', () => {
    expect(shown([restore('301', { at: '2027-01-01T00:10:00Z' }), event('301')])).toEqual(['301 present 0,1'])
  })
})

const events = fc.array(
  fc
    .record({
      code: fc.constantFrom('301', '384', 'AT', 'AR', 'YT', 'YM', 'YR'),
      isRestore: fc.boolean(),
      number: fc.constantFrom('001', '01', '002'),
    })
    .map(({ code, isRestore, number }) =>
      event(code, { ...zone(number), ...(isRestore && /^\d/.test(code) ? { kind: 'restore' as const } : {}) }),
    ),
  { maxLength: 30 },
)

test('the same event sent again changes nothing but its traces', () => {
  fc.assert(
    fc.property(events, (list) => {
      const states = (sent: SignalEvent[]) =>
        standingSignals(sent, restoralOf).map(({ code, state, event: { address } }) => [code, state, address?.number])
      expect(states(list.flatMap((one) => [one, one]))).toEqual(states(list))
    }),
  )
})

test('every event is behind a signal', () => {
  fc.assert(
    fc.property(events, (list) => {
      const heard = new Set(standingSignals(list, restoralOf).flatMap(({ from }) => from))
      expect([...heard].sort((a, b) => a - b)).toEqual(list.map((_, at) => at))
    }),
  )
})
