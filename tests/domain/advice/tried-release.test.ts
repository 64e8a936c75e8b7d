import fc from 'fast-check'
import { expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { decibans } from '../../../src/domain/advice/explain.ts'
import { DomainError } from '../../../src/domain/errors.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'

const { compiled: release } = currentRelease()
const LIMITS = { who: 'technician', tools: [] } as const
const ask = (findings: readonly Finding[]) => advise({ release, findings, limits: LIMITS })

const device = fc.constantFrom({}, { device: 'hall' }, { device: 'attic' })
const conditions = fc
  .tuple(fc.constantFrom(...release.conditions), device)
  .map(([{ id }, on]): Finding => ({ kind: 'condition', condition: id, state: 'present', ...on }))
const contexts = fc
  .tuple(fc.constantFrom(...release.contexts), fc.constantFrom('holds' as const, 'does-not-hold' as const), device)
  .map(([{ id }, state, on]): Finding => ({ kind: 'context', context: id, state, ...on }))
const told = fc
  .tuple(fc.array(conditions, { minLength: 1, maxLength: 3 }), fc.array(contexts, { maxLength: 2 }))
  .map((parts) => parts.flat())

/** The findings with what the plan offers for them tried in vain: the first steps of which nothing else follows, each as surely as given. */
function withTried(findings: readonly Finding[], sureness: readonly number[]): Finding[] {
  const { plan } = ask(findings)
  const alone = plan.filter(({ remedy }) => release.remedies[remedy]!.follows === undefined)
  const tried = alone.slice(0, sureness.length).map(({ remedy, device: on }, at): Finding => {
    const { id } = release.remedies[remedy]!
    return { kind: 'tried', remedy: id, result: 'no-change', reliability: sureness[at]!, ...(on && { device: on }) }
  })
  return [...findings, ...tried]
}

/** Whether a draw is one that the engine can work through. */
function isWorkable(findings: readonly Finding[]): boolean {
  try {
    return ask(findings).stop !== 'danger'
  } catch (error) {
    if (error instanceof DomainError) return false
    throw error
  }
}

test('on the release, steps of the plan that were tried in vain lower their causes, add up, and are worth what they say', () => {
  let [named, worst] = [0, 0]
  fc.assert(
    fc.property(
      told.filter(isWorkable),
      fc.array(fc.constantFrom(0.7, 0.9, 1), { minLength: 1, maxLength: 3 }),
      (known, sureness) => {
        const findings = withTried(known, sureness)
        for (const { cause, device: on, evidence, priorDecibans, probability } of ask(findings).causes) {
          const sum = evidence.reduce((total, step) => total + step.decibans, priorDecibans)
          worst = Math.max(worst, Math.abs(sum - decibans(probability)))
          for (const step of evidence.filter((one) => one.findings.some((at) => at >= known.length))) {
            named += 1
            expect(step.decibans).toBeLessThan(0)
            const { posterior, known: left } = ask(findings.filter((_, at) => !step.findings.includes(at)))
            const at = left.instance.keys.findIndex((key) => key.cause === cause && key.device === on)
            worst = Math.max(worst, Math.abs(decibans(probability) - decibans(posterior[at]!) - step.ifLeftOut))
          }
        }
      },
    ),
    { numRuns: 40, seed: 11 },
  )
  expect(named).toBeGreaterThan(20)
  expect(worst).toBeLessThan(1e-9)
})
