import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { answered, holds, present, smallRelease } from '../../support/small-release.ts'

const [READ_LIST, SMELL] = [4, 5]
const UNREAD: Finding = { kind: 'screen', complete: false }

describe('a display that has not been read to its end', () => {
  const base = smallRelease()
  const calling = { ...base, conditions: base.conditions.map((one) => ({ ...one, askFirst: [SMELL] })) }
  const firstOf = (release: typeof base, findings: readonly Finding[], limits: Partial<Limits> = {}) =>
    advise({ release, findings, limits: { who: 'caller', tools: [], ...limits } }).searched.checks[0]

  test('is read before any other question', () => {
    expect(firstOf(base, [present('battery-low'), UNREAD])).toMatchObject({
      check: READ_LIST,
      why: 'open-the-display-first',
    })
  })

  test('waits for the question of a danger that something which stands calls for, put once', () => {
    const findings = [present('battery-low'), UNREAD]
    expect(firstOf(calling, findings)).toMatchObject({ check: SMELL, before: READ_LIST })
    const { checks } = advise({ release: calling, findings, limits: { who: 'caller', tools: [] } }).searched
    expect(checks.filter(({ check }) => check === SMELL)).toHaveLength(1)
    expect(firstOf(calling, [...findings, answered('smell', 'no')])?.check).toBe(READ_LIST)
  })

  test('is read at once where nothing that stands calls for it, and by a technician', () => {
    expect(firstOf(calling, [holds('old-battery'), UNREAD])?.check).toBe(READ_LIST)
    expect(firstOf(calling, [present('battery-low'), UNREAD], { who: 'technician' })?.check).toBe(READ_LIST)
  })

  test('is not waited for while the danger is not ruled out', () => {
    const findings = [present('battery-low'), UNREAD, answered('smell', 'dont-know')]
    const { searched } = advise({ release: calling, findings, limits: { who: 'caller', tools: [] } })
    expect(searched.checks.map(({ check }) => check)).not.toContain(READ_LIST)
    expect(searched.refused).toContainEqual(
      expect.objectContaining({ check: READ_LIST, permit: expect.objectContaining({ reason: 'hazard-present' }) }),
    )
  })
})
