import { expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { DomainError } from '../../../src/domain/errors.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { answered, present, smallRelease } from '../../support/small-release.ts'

/** A release in which nothing at all can show the battery as low. */
function withoutAnyCause() {
  const release = smallRelease()
  return { ...release, effects: [{ ...release.effects[0]!, leak: [1, 0], links: [] }, ...release.effects.slice(1)] }
}

const ask = (findings: Finding[]) =>
  advise({ release: withoutAnyCause(), findings, limits: { who: 'caller', tools: [] } })

test('evidence that nothing can bring about is refused, pointing at the finding', () => {
  let refusal: unknown
  try {
    ask([present('supply-missing'), present('battery-low')])
  } catch (error) {
    refusal = error
  }
  expect(refusal).toBeInstanceOf(DomainError)
  expect(refusal).toMatchObject({ code: 'EVIDENCE_IMPOSSIBLE', detail: { path: '/findings/1' } })
  expect((refusal as DomainError).message).toContain('findings 1')
})

test('a danger sign is answered even where the rest of the evidence is refused', () => {
  const advice = ask([present('battery-low'), answered('smell', 'yes')])
  expect(advice.stop).toBe('danger')
  expect(advice.known.dangers).toEqual([{ hazard: 1, finding: 1 }])
  expect([advice.plan, advice.searched.checks]).toEqual([[], []])
})
