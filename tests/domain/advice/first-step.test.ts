import { describe, expect, test } from 'vitest'
import { adviseOn, type Made } from '../../support/made-release.ts'
import { allRead, answered, present } from '../../support/small-release.ts'

/** A spent cell is likely, one question has been put, and another could still be. */
const cell = (change: Partial<Made> = {}): Made => ({
  causes: { spent: { prior: 0.07 }, sealed: { prior: 0.016 } },
  conditions: { low: { links: { spent: 0.95, sealed: 0.95 } } },
  checks: {
    'asked-before': { links: { spent: 0.5 }, leak: 0.4 },
    'how-long': { links: { spent: 0.6, sealed: 0.1 }, leak: 0.2 },
  },
  remedies: {
    'change-cell': { removes: { spent: 0.95 }, minutes: 6, cost: 'low' },
    'replace-part': { removes: { sealed: 0.95 }, cost: 'high' },
  },
  ...change,
})
const ASKED = [present('low'), allRead, answered('asked-before', 'yes')]

describe('a cheap first step for a likely cause', () => {
  test('ends the questions once no answer could make it unlikely, and the rest is asked after it', () => {
    const { causes, asked, planned, stop, isActFirst } = adviseOn(cell(), ASKED)
    expect(causes[0]!.probability).toBeGreaterThan(0.7)
    expect(causes[0]!.probability).toBeLessThan(0.9)
    expect([asked, planned[0]]).toEqual([['how-long'], 'change-cell'])
    expect([isActFirst, stop === undefined]).toEqual([true, false])
  })

  test('waits for an answer that could make it unlikely', () => {
    const checks = { ...cell().checks, 'has-a-lid': { links: { sealed: 0.98 }, leak: 0.02 } }
    const { asked, stop, isActFirst } = adviseOn(cell({ checks }), ASKED)
    expect(asked).toContain('has-a-lid')
    expect([isActFirst, stop]).toEqual([false, undefined])
  })

  test('waits while nobody has been asked anything about it', () => {
    expect(adviseOn(cell(), ASKED.slice(0, 2)).isActFirst).toBe(false)
    expect(adviseOn(cell(), [...ASKED.slice(0, 2), answered('asked-before', 'dont-know')]).isActFirst).toBe(false)
  })

  test.each([
    ['takes long', { minutes: 30 }],
    ['costs more', { cost: 'medium' }],
    ['seldom works', { removes: { spent: 0.5 } }],
    ['leaves the building less protected', { lowersSecurity: true }],
    ['is for somebody else', { who: 'technician' }],
  ] as const)('is not put before questions when it %s', (_, change) => {
    const remedies = { ...cell().remedies }
    remedies['change-cell'] = { ...remedies['change-cell']!, ...change }
    expect(adviseOn(cell({ remedies }), ASKED, { who: 'caller', tools: [], isOwnerVerified: true }).isActFirst).toBe(
      false,
    )
  })

  test('is not put before questions while what may have brought its cause about is open', () => {
    const having = (prior: number) =>
      adviseOn(cell({ causes: { ...cell().causes, drain: { prior, rootOf: [0] } } }), ASKED).isActFirst
    expect([having(0.05), having(0.3)]).toEqual([true, false])
  })
})

describe('a free first step that disturbs nothing', () => {
  const charge = (disturbs: string[], cost: 'none' | 'medium' = 'none'): Made => ({
    causes: { empty: { prior: 0.06 }, worn: { prior: 0.05 } },
    conditions: { low: { links: { empty: 0.95, worn: 0.95 } } },
    checks: {
      'asked-before': { links: { empty: 0.5 }, leak: 0.4 },
      'look-into-the-box': { links: { worn: 0.9 }, leak: 0.02, disturbs },
    },
    remedies: {
      'let-it-charge': { removes: { empty: 0.95 }, minutes: 1, cost },
      'replace-it': { removes: { worn: 0.95 }, cost: 'high' },
    },
  })

  test('comes before a question that opens the box: the call ends with it', () => {
    const { stop, isActFirst, asked } = adviseOn(charge(['cover']), ASKED)
    expect([stop, isActFirst]).toEqual(['no-useful-check', true])
    expect(asked).toEqual(['look-into-the-box'])
  })

  test('does not hold back a question that opens nothing', () => {
    expect(adviseOn(charge([]), ASKED).stop).toBeUndefined()
  })

  test('holds nothing back when it is not free', () => {
    expect(adviseOn(charge(['cover'], 'medium'), ASKED).stop).toBeUndefined()
  })
})
