import { describe, expect, test } from 'vitest'
import { adviseOn, type Made } from '../../support/made-release.ts'
import { allRead, answered, present } from '../../support/small-release.ts'

describe('an item with a likely cause', () => {
  const made = (own: { removes: Record<string, number> } | undefined, success = 0.95): Made => ({
    causes: { ended: { prior: 0.2 } },
    conditions: { low: { links: { ended: 0.95 } } },
    checks: { told: { links: { ended: 0.95 }, leak: 0.01 } },
    remedies: {
      'by-technician': { removes: { ended: success }, who: 'technician', cost: 'visit', minutes: 30 },
      ...(own ? { 'by-caller': { ...own, cost: 'low' as const, minutes: 20 } } : {}),
    },
  })
  const TOLD = [present('low'), allRead, answered('told', 'yes')]

  test('is for a technician when nobody else can remove it', () => {
    expect(adviseOn(made(undefined), TOLD).stop).toBe('needs-technician')
  })

  test('is not, when the caller has an own way out of it beside that of a technician', () => {
    const { stop, planned } = adviseOn(made({ removes: { ended: 0.6 } }), TOLD)
    expect(planned).toEqual(['by-caller', 'by-technician'])
    expect(stop).toBe('confident')
  })

  test('is for a technician when the own way hardly ever helps', () => {
    const seldom = made({ removes: { ended: 0.2 } })
    seldom.remedies['by-caller']!.minutes = 1
    const { stop, planned } = adviseOn(seldom, TOLD)
    expect(planned).toContain('by-caller')
    expect(stop).toBe('needs-technician')
  })

  test('makes nobody confident of a remedy that works half the time', () => {
    const half = made(undefined, 0.5)
    half.remedies['by-technician']!.who = 'caller'
    expect(adviseOn(half, TOLD).stop).toBe('no-useful-check')
    half.remedies['by-technician']!.removes = { ended: 0.95 }
    expect(adviseOn(half, TOLD).stop).toBe('confident')
  })
})

describe('a likely cause that nothing was said for, with nothing left to ask', () => {
  const made = (removes: Record<string, number>): Made => ({
    causes: { mode: { prior: 0.2 }, rival: { prior: 0.008 } },
    conditions: { shown: { links: { mode: 0.95, rival: 0.95 } }, too: { links: { mode: 0.95 } } },
    remedies: { leave: { removes }, mend: { removes: { rival: 0.95 } } },
  })
  const SHOWN = [present('shown'), allRead]

  test('makes nobody confident, however likely it is', () => {
    const { causes, stop, planned } = adviseOn(made({ mode: 0.98 }), SHOWN)
    expect(causes[0]!.probability).toBeGreaterThan(0.9)
    expect(planned[0]).toBe('leave')
    expect(stop).toBe('no-useful-check')
  })

  test('is certain enough where one step cures whatever brings the item about', () => {
    expect(adviseOn(made({ mode: 0.98, rival: 0.98 }), SHOWN).stop).toBe('confident')
  })

  test('is certain enough where another item shows it as well', () => {
    expect(adviseOn(made({ mode: 0.98 }), [...SHOWN, present('too')]).stop).toBe('confident')
  })
})

test('what is found and is for a technician alone ends the call, whatever could still be asked', () => {
  const made: Made = {
    causes: { nail: { prior: 0.05 }, worn: { prior: 0.05 }, loose: { prior: 0.25 } },
    conditions: { open: { links: { nail: 0.95 } }, low: { links: { worn: 0.9, loose: 0.9 } } },
    checks: {
      'nail-look': { links: { nail: 0.9 }, leak: 0.01 },
      age: { links: { worn: 0.95 }, leak: 0.02 },
      'lead-look': { links: { loose: 0.9 }, leak: 0.02 },
    },
    remedies: {
      repair: { removes: { nail: 0.95 }, who: 'technician', cost: 'visit' },
      replace: { removes: { worn: 0.95 }, who: 'technician', cost: 'visit' },
      fasten: { removes: { loose: 0.95 }, who: 'technician', cost: 'visit' },
    },
  }
  const open = [present('open'), present('low'), allRead]
  expect(adviseOn(made, [...open, answered('nail-look', 'yes')]).stop).toBeUndefined()
  const found = adviseOn(made, [...open, answered('nail-look', 'yes'), answered('age', 'yes')])
  expect(found.asked).toContain('lead-look')
  expect(found.stop).toBe('needs-technician')
})

describe('a battery item while the supply is known to be away', () => {
  const made = (rootOf = [2]): Made => ({
    causes: {
      outage: { prior: 0.05, family: 'power', rootOf },
      dip: { prior: 0.05, family: 'power' },
      worn: { prior: 0.05, family: 'storage-battery' },
      loose: { prior: 0.05, family: 'storage-battery' },
    },
    conditions: {
      'mains-missing': { family: 'power', links: { outage: 0.95, dip: 0.95 } },
      low: { family: 'storage-battery', links: { outage: 0.25, worn: 0.9, loose: 0.9 } },
      hot: { family: 'storage-battery', severity: 'life-safety', links: { worn: 0.5 } },
    },
    checks: { dark: { links: { outage: 0.95 }, leak: 0.01 }, age: { links: { worn: 0.9 }, leak: 0.05 } },
    remedies: {
      wait: { removes: { outage: 0.98 }, minutes: 2 },
      replace: { removes: { worn: 0.95 }, cost: 'medium', minutes: 20 },
      fasten: { removes: { loose: 0.95 }, cost: 'low', minutes: 20 },
    },
  })
  const OUT = [present('mains-missing'), present('low'), allRead, answered('dark', 'yes')]

  test('is judged later and does not hold the call open', () => {
    const { stop, judgedLater, asked } = adviseOn(made(), OUT)
    expect(judgedLater.map(({ condition }) => condition)).toEqual([1])
    expect(asked).toContain('age')
    expect(stop).toBe('confident')
  })

  test('is judged now while the supply is in doubt, or where it brings no flat battery about', () => {
    expect(adviseOn(made(), OUT.slice(0, 3)).judgedLater).toEqual([])
    const apart = adviseOn(made([]), OUT)
    expect(apart.judgedLater).toEqual([])
    expect(apart.stop).not.toBe('confident')
  })

  test('is judged now where it is itself a danger', () => {
    const hot = adviseOn(made(), [...OUT, present('hot')])
    expect(hot.judgedLater.map(({ condition }) => condition)).toEqual([1])
  })
})
