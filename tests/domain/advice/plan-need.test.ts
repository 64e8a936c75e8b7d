import { describe, expect, test } from 'vitest'
import { adviseOn, type Made } from '../../support/made-release.ts'
import { allRead, present } from '../../support/small-release.ts'

const BY_TECHNICIAN = { who: 'technician', cost: 'visit', minutes: 60 } as const

describe('a step that adds nothing', () => {
  const found = (rival: number): Made => ({
    causes: { found: { prior: 0.3 }, rival: { prior: rival } },
    conditions: { low: { links: { found: 0.95, rival: 0.95 } } },
    remedies: { 'mend-found': { removes: { found: 0.6 } }, 'mend-rival': { removes: { rival: 0.98 }, minutes: 1 } },
  })

  test('is left out once something as good as found has its own, however sure it is to work', () => {
    const { planned, causes } = adviseOn(found(0.0145), [present('low')])
    expect(causes[0]!.probability).toBeGreaterThan(0.9)
    expect(causes[1]!.probability).toBeGreaterThan(0.03)
    expect(planned).toEqual(['mend-found'])
  })

  test('stays where its causes come to as much as may well be true', () => {
    expect(adviseOn(found(0.05), [present('low')]).planned).toContain('mend-rival')
  })

  test('stays where another item stands that it alone clears', () => {
    const made = found(0.0145)
    made.conditions.open = { links: { rival: 0.95 }, leak: 0.2 }
    expect(adviseOn(made, [present('low'), present('open')]).planned).toContain('mend-rival')
  })
})

describe('two steps that fit the same part', () => {
  const boards = (
    second: { cost?: 'low' | 'high'; partClasses?: string[] },
    shared: Record<string, number> = { charger: 0.9 },
  ): Made => ({
    causes: { driver: {}, charger: {} },
    conditions: { fault: { links: { driver: 0.9, ...shared } }, other: { links: { charger: 0.9 } } },
    remedies: {
      'replace-board': { removes: { driver: 0.95 }, cost: 'high', partClasses: ['part-class/board'] },
      'replace-board-too': { removes: { charger: 0.95 }, cost: 'high', partClasses: ['part-class/board'], ...second },
    },
  })
  const planOf = (made: Made, ...items: string[]) =>
    adviseOn(
      made,
      ['fault', ...items].map((id) => present(id)),
    ).planned

  test('are one for the same item', () => {
    expect(planOf(boards({}))).toEqual(['replace-board'])
  })

  test('are two where the parts differ, or where one costs next to nothing', () => {
    expect(planOf(boards({ partClasses: ['part-class/charger'] }))).toHaveLength(2)
    expect(planOf(boards({ cost: 'low' }))).toHaveLength(2)
  })

  test('are two where they are for two items', () => {
    expect(planOf(boards({}, {}), 'other')).toHaveLength(2)
  })
})

describe('the order of steps', () => {
  const two = (first: object, second: object, severities = ['degraded', 'degraded']): Made => ({
    causes: { one: {}, two: {} },
    conditions: {
      a: { links: { one: 0.95 }, severity: severities[0] as 'degraded' },
      b: { links: { two: 0.95 }, severity: severities[1] as 'degraded' },
    },
    remedies: { first: { removes: { one: 0.95 }, ...first }, second: { removes: { two: 0.95 }, ...second } },
  })
  const BOTH = [present('a'), present('b'), allRead]

  test('puts what is free and allowed before the visit of a technician, for whatever item', () => {
    const free = { minutes: 90 }
    expect(adviseOn(two({ ...BY_TECHNICIAN, minutes: 5 }, free), BOTH).planned).toEqual(['second', 'first'])
  })

  test('puts the item that guards lives first among steps that cost the same kind of thing', () => {
    const cheap = { cost: 'medium', minutes: 5 } as const
    const planOf = (...severities: string[]) => adviseOn(two(cheap, BY_TECHNICIAN, severities), BOTH).planned
    expect(planOf('degraded', 'degraded')).toEqual(['first', 'second'])
    expect(planOf('degraded', 'life-safety')).toEqual(['second', 'first'])
  })

  test('puts a free act of two minutes first, though its cause is not the likeliest', () => {
    const made: Made = {
      causes: { cell: { prior: 0.07 }, lost: { prior: 0.03 } },
      conditions: { unset: { links: { cell: 0.95, lost: 0.95 } } },
      remedies: {
        'replace-cell': { removes: { cell: 0.95 }, minutes: 1, cost: 'low' },
        'set-clock': { removes: { lost: 0.95 }, minutes: 2 },
      },
    }
    expect(adviseOn(made, [present('unset')]).planned).toEqual(['set-clock', 'replace-cell'])
    made.remedies['set-clock']!.disturbs = ['cover']
    expect(adviseOn(made, [present('unset')]).planned).toEqual(['replace-cell', 'set-clock'])
  })
})
