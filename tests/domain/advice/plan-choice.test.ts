import { describe, expect, test } from 'vitest'
import { adviseOn, type Made } from '../../support/made-release.ts'
import { present } from '../../support/small-release.ts'

describe('a step that costs next to nothing and clears hardly anything', () => {
  const made = (success: number): Made => ({
    causes: { worn: { prior: 0.05 }, charger: { prior: 0.04 }, lead: { prior: 0.0035 } },
    conditions: { low: { links: { worn: 0.95, charger: 0.95, lead: 0.95 } } },
    remedies: {
      'replace-battery': { removes: { worn: 0.95 }, minutes: 15, cost: 'low' },
      'replace-charger': { removes: { charger: 0.95 }, minutes: 180, cost: 'visit' },
      'seat-lead': { removes: { lead: success }, minutes: 1 },
    },
  })

  test('does not end the plan, though it clears most per minute: a dear one that clears a lot comes after all', () => {
    const { planned, causes } = adviseOn(made(0.4), [present('low')])
    const [, charger, lead] = causes.map(({ probability }) => probability)
    expect(lead! * 0.4).toBeLessThan(0.03)
    expect((lead! * 0.4) / 6).toBeGreaterThan((charger! * 0.95) / 245)
    expect(planned).toEqual(['replace-battery', 'replace-charger'])
  })

  test('stands in the plan once it clears enough to be worth a step', () => {
    expect(adviseOn(made(0.95), [present('low')]).planned).toContain('seat-lead')
  })
})
