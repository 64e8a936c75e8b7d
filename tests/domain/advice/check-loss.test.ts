import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { inOrder, nearEquals } from '../../../src/domain/advice/check-order.ts'
import type { CompiledCheck, CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import type { NextCheck } from '../../../src/domain/advice/search-state.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { allRead, CAUSE, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const base = smallRelease()
type Severity = CompiledRelease['conditions'][number]['severity']

/**
 * Two conditions that are exactly alike, each with one cause of its own beside another, and a question about each;
 * that of the second is listed last.
 */
function twins(severities: readonly [Severity, Severity], change: Partial<CompiledCheck> = {}): CompiledRelease {
  const effect = (id: string, cause: number, other: number) => ({
    id,
    isPerDevice: false,
    leak: [0.999, 0.001],
    links: [cause, other].sort().map((one) => ({ cause: one, levels: [0.1, 0.9] })),
  })
  const seen = (id: string, cause: number) => ({
    id,
    isPerDevice: false,
    leak: [0.98, 0.02],
    links: [{ cause, levels: [0.1, 0.9] }],
  })
  const causes = ['a', 'b', 'c', 'd'].map((id) => ({
    ...base.causes[CAUSE.batteryWorn]!,
    id: `cause/${id}`,
    prior: 0.05,
  }))
  const question = (id: string, at: number): CompiledCheck => ({
    ...base.checks[0]!,
    id,
    model: { kind: 'observation', effect: at, levels: ['no', 'yes'] },
  })
  return smallRelease({
    causes,
    effects: [effect('condition/one', 0, 1), effect('condition/other', 2, 3), seen('check/a', 0), seen('check/b', 2)],
    conditions: [0, 1].map((at) => ({ ...base.conditions[at]!, effect: at, severity: severities[at]! })),
    contexts: base.contexts.map((one) => ({ ...one, shifts: [] })),
    readings: [],
    checks: [question('check/a', 2), { ...question('check/b', 3), ...change }],
    remedies: [],
    gates: [],
  })
}
const BOTH: Finding[] = [present('battery-low'), present('supply-missing'), allRead]
const first = (release: CompiledRelease) => {
  const [one, other] = advise({ release, findings: BOTH, limits: CALLER }).searched.checks
  return { first: release.checks[one!.check]!.id, rates: [one!.bitsPerMinute, other!.bitsPerMinute] }
}

describe('questions that bring as much a minute', () => {
  test.each([
    ['life-safety', 'security-lost'],
    ['security-lost', 'degraded'],
    ['degraded', 'nuisance'],
  ] as const)('begin with the one about %s before the one about %s', (grave, light) => {
    const release = twins([light, grave])
    expect(first(release).first).toBe('check/b')
    expect(first(twins([grave, light])).first).toBe('check/a')
    const [one, other] = first(release).rates
    expect(one).toBeCloseTo(other!, 9)
  })

  test('stay as they are where the losses are alike', () => {
    expect(first(twins(['degraded', 'degraded'])).first).toBe('check/a')
  })

  test('begin with the safer one, however grave the loss of the other', () => {
    expect(first(twins(['nuisance', 'life-safety'], { hazards: [0] })).first).toBe('check/a')
  })

  test('a clearly better one comes first all the same', () => {
    expect(first(twins(['nuisance', 'life-safety'], { minutes: 4 })).first).toBe('check/a')
  })
})

test('only near-equals about as grave a loss are told apart by what comes after them', () => {
  const release = smallRelease()
  const next = (check: number): NextCheck => ({
    check,
    gainBits: 0.3,
    minutes: 3,
    bitsPerMinute: 0.1,
    results: [],
    why: 'most-information-per-minute',
  })
  const lossOf = ({ check }: NextCheck) => (check === 2 ? 0 : 1)
  const sorted = [next(0), next(2), next(3)].sort(inOrder(release, lossOf))
  expect(sorted.map(({ check }) => check)).toEqual([2, 3, 0])
  expect(nearEquals(release, sorted, lossOf)).toEqual([next(2)])
  expect(nearEquals(release, sorted)).toHaveLength(3)
})
