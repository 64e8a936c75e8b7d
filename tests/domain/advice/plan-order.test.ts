import { describe, expect, test } from 'vitest'
import { adviseOn, type Made } from '../../support/made-release.ts'
import { allRead, answered, present } from '../../support/small-release.ts'

const VISIT = { who: 'technician', cost: 'visit', minutes: 60 } as const

describe('a supply that could only clear what the battery clears', () => {
  const made = (prior: number): Made => ({
    causes: { plug: { prior, family: 'power' }, worn: { prior: 0.05, family: 'storage-battery' } },
    conditions: { low: { family: 'storage-battery', links: { plug: 0.95, worn: 0.95 } } },
    remedies: {
      'plug-in': { removes: { plug: 0.98 }, minutes: 10, cost: 'low' },
      'replace-battery': { removes: { worn: 0.98 }, minutes: 10, cost: 'low' },
    },
  })

  test('takes no turn before a likely battery while it hardly counts', () => {
    expect(adviseOn(made(0.004), [present('low')]).planned).toEqual(['replace-battery', 'plug-in'])
  })

  test('goes first where it may well be the cause', () => {
    expect(adviseOn(made(0.03), [present('low')]).planned).toEqual(['plug-in', 'replace-battery'])
  })

  test('goes first with an item of its own, however many share the blame for it', () => {
    const blown = Object.fromEntries(Array.from({ length: 8 }, (_, at) => [`blown${at}`, { family: 'power' }]))
    const all = { plug: 0.95, ...Object.fromEntries(Object.keys(blown).map((name) => [name, 0.95])) }
    const { causes, conditions, remedies } = made(0.0015)
    const dead = { family: 'power', links: all }
    const many: Made = { causes: { ...causes, ...blown }, conditions: { ...conditions, dead }, remedies }
    const advice = adviseOn(many, [present('low'), present('dead')])
    const plug = advice.causes.find(({ cause }) => cause === 0)!
    expect(plug.probability).toBeLessThan(0.2)
    expect(advice.planned.slice(0, 2)).toEqual(['plug-in', 'replace-battery'])
  })
})

test('a clock that is set in two minutes waits for no battery step that an unknown answer refuses', () => {
  const made: Made = {
    causes: {
      empty: { prior: 0.02, family: 'storage-battery' },
      worn: { prior: 0.03, family: 'storage-battery' },
      lost: { prior: 0.05, family: 'power', rootOf: [3] },
      unset: { prior: 0.05, family: 'clock-and-configuration' },
    },
    conditions: {
      low: { family: 'storage-battery', links: { empty: 0.95, worn: 0.95 } },
      clock: { family: 'clock-and-configuration', links: { unset: 0.95, lost: 0.5 } },
    },
    checks: { lamp: { links: { lost: 0.9 }, leak: 0.5 } },
    remedies: {
      recharge: { removes: { empty: 0.9 }, minutes: 1, requires: [{ check: 0, result: 'no' }] },
      'set-clock': { removes: { unset: 0.98 }, minutes: 2 },
    },
  }
  const BOTH = [present('low'), present('clock'), allRead]
  expect(adviseOn(made, BOTH).planned).toEqual(['recharge', 'set-clock'])
  expect(adviseOn(made, [...BOTH, answered('lamp', 'dont-know')]).planned).toEqual(['set-clock', 'recharge'])
})

describe('what is at hand for next to nothing', () => {
  const made = (own: Partial<Made['remedies'][string]>, prior = 0.01, rival = 0.03): Made => ({
    causes: { ended: { prior: rival }, blocked: { prior: rival }, hook: { prior } },
    conditions: { line: { links: { ended: 0.95, blocked: 0.95, hook: 0.95 } } },
    remedies: {
      'switch-off': { removes: { ended: 0.95 }, ...VISIT, minutes: 1 },
      'change-path': { removes: { blocked: 0.95 }, ...VISIT, minutes: 1 },
      'hang-up': { removes: { hook: 0.95 }, minutes: 25, ...own },
    },
  })
  const firstOf = (...args: Parameters<typeof made>) => adviseOn(made(...args), [present('line')]).planned[0]

  test('comes before a visit, though the visit clears more for its cost', () => {
    expect(firstOf({})).toBe('hang-up')
    expect(firstOf({ cost: 'medium' })).toBe('switch-off')
    expect(firstOf({ minutes: 40 })).toBe('switch-off')
  })

  test('also while it only waits for a question, and not where it is refused', () => {
    const asked = made({ requires: [{ check: 0, result: 'yes' }] })
    asked.checks = { tone: { links: { ended: 0.5 }, leak: 0.5 } }
    expect(adviseOn(asked, [present('line')]).planned[0]).toBe('hang-up')
    expect(adviseOn(asked, [present('line'), answered('tone', 'no')]).planned[0]).not.toBe('hang-up')
  })

  test('keeps its place where it hardly counts, or where the visit is for what is likely', () => {
    expect(firstOf({}, 0.003)).toBe('switch-off')
    const likely = made({})
    likely.causes.ended!.prior = 0.2
    expect(adviseOn(likely, [present('line')]).planned[0]).toBe('switch-off')
  })
})

test('a step that an unknown answer refuses comes after what is at hand, though it is the first for its item', () => {
  const made: Made = {
    causes: { worn: { prior: 0.04 }, lead: { prior: 0.03 }, rest: { prior: 0.03 } },
    conditions: { low: { links: { worn: 0.95, lead: 0.95, rest: 0.95 } } },
    checks: { lamp: { links: { rest: 0.5 }, leak: 0.5 } },
    remedies: {
      'replace-battery': { removes: { worn: 0.95 }, cost: 'low', requires: [{ check: 0, result: 'no' }] },
      'seat-lead': { removes: { lead: 0.95 }, minutes: 20 },
    },
  }
  expect(adviseOn(made, [present('low')]).planned).toEqual(['replace-battery', 'seat-lead'])
  const unknown = [present('low'), answered('lamp', 'dont-know')]
  expect(adviseOn(made, unknown).planned).toEqual(['seat-lead', 'replace-battery'])
})

describe('a visit for a likely cause that something at hand is for as well', () => {
  const made = (success: number): Made => ({
    causes: { tripped: { prior: 0.06 }, plug: { prior: 0.01 } },
    conditions: { dead: { links: { tripped: 0.95, plug: 0.95 } } },
    remedies: {
      reset: { removes: { tripped: success }, minutes: 3 },
      electrician: { removes: { tripped: 0.95 }, ...VISIT, minutes: 1 },
      'plug-in': { removes: { plug: 0.98 }, minutes: 25 },
    },
  })
  const planOf = (success: number) => adviseOn(made(success), [present('dead')]).planned

  test('comes after the other acts at hand', () => {
    expect(planOf(0.55)).toEqual(['reset', 'plug-in', 'electrician'])
  })

  test('keeps its place where what is at hand seldom helps', () => {
    expect(planOf(0.4)).toEqual(['reset', 'electrician', 'plug-in'])
  })
})

describe('a housing that stands open', () => {
  const made = (inside: Partial<Made['remedies'][string]>, prior = 0.05): Made => ({
    causes: { lid: { family: 'tamper-and-enclosure', prior: 0.2 }, lead: { prior }, worn: { prior: 0.05 } },
    conditions: { open: { links: { lid: 0.95 } }, low: { links: { lead: 0.95, worn: 0.95 } } },
    remedies: {
      'close-lid': { removes: { lid: 0.95 }, minutes: 2, place: 'box' },
      'seat-lead': { removes: { lead: 0.95 }, place: 'box', disturbs: ['cover', 'cell'], ...inside },
    },
  })
  const planOf = (...args: Parameters<typeof made>) =>
    adviseOn(made(...args), [present('open'), present('low'), allRead]).planned

  test('is closed after what is done inside it', () => {
    expect(planOf({})).toEqual(['seat-lead', 'close-lid'])
  })

  test('is closed at once where nothing else is done in it, or only what has to be bought, needs a visit or hardly counts', () => {
    expect(planOf({ place: 'socket' })).toEqual(['close-lid', 'seat-lead'])
    expect(planOf({ disturbs: ['line'] })).toEqual(['close-lid', 'seat-lead'])
    expect(planOf({ cost: 'medium' })).toEqual(['close-lid', 'seat-lead'])
    expect(planOf({ who: 'technician' })).toEqual(['close-lid', 'seat-lead'])
    expect(planOf({}, 0.004)[0]).toBe('close-lid')
  })
})
