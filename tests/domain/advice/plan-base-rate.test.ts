import { describe, expect, test } from 'vitest'
import { adviseOn, type Made } from '../../support/made-release.ts'
import { present } from '../../support/small-release.ts'

describe('a step for causes that are as likely as anywhere', () => {
  const made = (cell: Partial<Made['remedies'][string]> = {}): Made => ({
    causes: { receiver: { prior: 0.05 }, one: { prior: 0.06 }, two: { prior: 0.06 }, three: { prior: 0.06 } },
    conditions: {
      first: { links: { receiver: 0.95, one: 0.9 } },
      second: { links: { receiver: 0.95, two: 0.9 } },
      third: { links: { receiver: 0.95, three: 0.9 } },
    },
    remedies: {
      'mend-receiver': { removes: { receiver: 0.95 }, minutes: 30 },
      'replace-cells': { removes: { one: 0.95, two: 0.95, three: 0.95 }, cost: 'low', ...cell },
    },
  })
  const ALL = [present('first'), present('second'), present('third')]

  test('is left out where a likelier cause stands behind each item, though one may have them besides', () => {
    const { causes, planned } = adviseOn(made(), ALL)
    const cell = causes.find(({ cause }) => cause === 1)!
    expect(cell.probability).toBeGreaterThan(0.06)
    expect(cell.probability).toBeLessThan(0.08)
    expect(planned).toEqual(['mend-receiver'])
  })

  test('stays where the item speaks for them', () => {
    expect(adviseOn(made(), [present('first')]).planned).toContain('replace-cells')
  })

  test('stays where nothing likelier explains one of the items', () => {
    const apart = made()
    apart.conditions.second!.links = { two: 0.9 }
    expect(adviseOn(apart, ALL).planned).toContain('replace-cells')
  })

  test('stays where it costs nothing', () => {
    expect(adviseOn(made({ cost: 'none' }), ALL).planned).toContain('replace-cells')
  })
})
