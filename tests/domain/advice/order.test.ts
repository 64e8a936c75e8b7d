import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { DomainError } from '../../../src/domain/errors.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { given } from '../../../src/domain/given.ts'
import { CAUSE, smallRelease } from '../../support/small-release.ts'

/** The small release with a reading of each radio device's cell and a check that takes it. */
function releaseWithCells(): CompiledRelease {
  const base = smallRelease()
  const links = [{ cause: CAUSE.radioCell, levels: [0.1, 0.9] }]
  const effect = { id: 'reading/cell#low', isPerDevice: true, leak: [0.95, 0.05], links }
  const { high: _, ...rest } = base.readings[0]!
  const cell = {
    ...rest,
    id: 'reading/cell',
    isPerDevice: true,
    edges: [2.4, 2.8],
    bands: ['empty', 'weak', 'healthy'],
  }
  const graded = { ...effect, leak: [0.9, 0.07, 0.03], links: [{ cause: CAUSE.radioCell, levels: [0.1, 0.3, 0.6] }] }
  const check = {
    ...base.checks[2]!,
    id: 'check/cell',
    isPerDevice: true,
    results: cell.bands,
    model: { kind: 'reading' as const, reading: 1 },
  }
  return {
    ...base,
    effects: [...base.effects, graded],
    readings: [...base.readings, { ...cell, healthy: 2, low: base.effects.length }],
    checks: [...base.checks, check],
  }
}
const RELEASE = releaseWithCells()
const NOW = Date.UTC(2026, 0, 2, 12)

const rarely = <T>(values: readonly T[]) =>
  fc.oneof({ weight: 3, arbitrary: fc.constant(undefined) }, { weight: 2, arbitrary: fc.constantFrom(...values) })
const common = {
  device: rarely(['hall', 'attic', 'porch']),
  reliability: rarely([0.5, 0.7, 1]),
  observedMs: rarely([NOW - 60_000, NOW - 30_000]),
  untilMs: rarely([NOW - 1000, NOW + 1000]),
}
const said = (record: Record<string, fc.Arbitrary<unknown>>): fc.Arbitrary<Finding> =>
  fc.record({ ...record, ...common }).map((finding) => given(finding) as unknown as Finding)
const one = (...values: (string | boolean)[]) => fc.constantFrom(...values)

const finding = fc.oneof(
  said({
    kind: one('condition'),
    condition: one('condition/battery-low', 'condition/supply-missing', 'condition/radio-low'),
    state: one('present', 'present', 'present', 'absent'),
  }),
  said({
    kind: one('context'),
    context: fc.constantFrom(...RELEASE.contexts.map(({ id }) => id)),
    state: one('holds', 'holds', 'does-not-hold'),
  }),
  fc
    .constantFrom(...RELEASE.checks)
    .chain(({ id, results }) => said({ kind: one('answer'), check: one(id), result: one(...results, 'dont-know') })),
  said({ kind: one('screen'), complete: one(true, false) }),
  said({
    kind: one('reading'),
    reading: one('reading/rest-voltage'),
    value: fc.constantFrom(11.4, 12, 12.1, 13, 14.5),
  }),
  said({ kind: one('reading'), reading: one('reading/cell'), value: fc.constantFrom(2, 2.4, 2.5, 3) }),
)
const shuffledFindings = fc
  .array(finding, { minLength: 2, maxLength: 9 })
  .chain((findings) => fc.tuple(fc.constant(findings), fc.shuffledSubarray(findings, { minLength: findings.length })))

const setOf = (items: readonly unknown[]) => items.map((item) => JSON.stringify(item)).sort()

/** What an answer says, with findings by what they say and not by their places. */
function saidBy(advice: Advice, findings: readonly Finding[]) {
  const { known, searched, plan, dangerQuestions } = advice
  const contents = (positions: readonly number[]) => setOf(positions.map((at) => findings[at]))
  return {
    stop: advice.stop,
    checks: searched.checks.map(({ check, device }) => [check, device]),
    plan: plan.map(({ remedy, permit }) => [remedy, permit.verdict]),
    dangerQuestions,
    dangers: known.dangers.map(({ hazard }) => hazard),
    contradictions: setOf(known.contradictions.map(({ findings: two, about }) => [contents(two), about])),
    unused: contents(known.unused),
    present: known.present,
    contexts: setOf([...known.contexts.keys()]),
    asked: [...known.asked].sort(),
    answers: setOf([...known.answers].map(([key, results]) => [key, [...results].sort()])),
    account: advice.causes.map(({ cause, device, evidence }) => [
      cause,
      device,
      evidence.map(({ decibans, findings: from }) => [decibans, contents(from)]),
    ]),
    evidence: setOf(known.evidence.map(({ effect, level, findings: from }) => [effect, level, contents(from)])),
    screen: [known.isScreenMentioned, known.isScreenComplete],
    refutedLeaders: advice.refutedLeaders,
  }
}

function answerTo(findings: Finding[]): Advice | string {
  try {
    return advise({ release: RELEASE, findings, limits: { who: 'handy', tools: ['multimeter'], nowMs: NOW } })
  } catch (error) {
    if (error instanceof DomainError) return error.code
    throw error
  }
}

describe('the order of the findings', () => {
  test('changes neither probabilities nor stop, checks, plan or contradictions', () => {
    let answered = 0
    fc.assert(
      fc.property(shuffledFindings, ([findings, shuffled]) => {
        const [one, other] = [answerTo(findings), answerTo(shuffled)]
        if (typeof one === 'string' || typeof other === 'string') {
          expect(other).toBe(one)
          return
        }
        answered++
        expect(saidBy(other, shuffled)).toEqual(saidBy(one, findings))
        expect(other.posterior).toEqual(one.posterior)
      }),
      { numRuns: 400 },
    )
    expect(answered).toBeGreaterThan(200)
  })
})
