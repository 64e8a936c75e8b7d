import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledCheck, CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { isBeyondCaller, liftsOf, permit } from '../../../src/domain/advice/permit.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { ALONE, CALLER_CONTEXTS, liftableRelease, NOT_ON_TEST, REMOTE, WATER } from '../../support/liftable-release.ts'
import { allRead, answered, holds, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const base = smallRelease()
const CASE = 1
const [LOOK, SMELL] = [base.checks[CASE]!, base.checks[5]!]

/** Water holds back as well, and the battery is in a box that has to be opened. */
const liftable = (change: Partial<CompiledRelease> = {}): CompiledRelease =>
  liftableRelease({
    hazards: [{ id: 'hazard/shock', stopIf: [ALONE, WATER] }, base.hazards[1]!],
    remedies: base.remedies.map((one, at) => (at === 0 ? { ...one, disturbs: ['cover'] } : one)),
    ...change,
  })
const ask = (findings: readonly Finding[], release = liftable(), limits = CALLER) =>
  advise({ release, findings, limits })
const permitOf = (findings: readonly Finding[], step = LOOK, release = liftable(), limits = CALLER) =>
  permit(release, step, ask(findings, release, limits).known, limits)
const LOW = [present('battery-low'), allRead]
const offered = ({ searched }: Advice) => searched.checks.map(({ check }) => base.checks[check]!.id)

describe('a monitored system that is not on test', () => {
  const findings = [...LOW, answered('ask-on-test', 'no')]

  test('holds back what can raise a signal, and the caller can lift that', () => {
    const held = permitOf(findings)
    expect(held).toMatchObject({ verdict: 'refused', reason: 'gate-closed', detail: 'on-test' })
    expect(liftsOf(held)).toEqual([{ context: NOT_ON_TEST }])
    expect(isBeyondCaller(held)).toBe(false)
  })

  describe('with a likely cause whose remedy it holds back', () => {
    const likely = [...findings, answered('case-bulged', 'yes')]

    test('sends nobody a technician, and leaves the step not allowed', () => {
      const advice = ask(likely)
      expect(advice.stop).toBe('confident')
      expect(advice.plan.find(({ remedy }) => remedy === 0)!.permit.verdict).toBe('refused')
      expect(advice.cost.visitProbability).toBe(0)
    })

    test('is for a technician where nothing says how it is lifted', () => {
      const lasting = liftable({ contexts: [...base.contexts, ...CALLER_CONTEXTS], gates: base.gates })
      expect(isBeyondCaller(permitOf(likely, LOOK, lasting))).toBe(true)
      expect(ask(likely, lasting).stop).toBe('needs-technician')
    })
  })

  test('puts no question that can raise a signal', () => {
    expect(offered(ask(findings))).not.toContain('check/case-bulged')
    expect(offered(ask([...LOW, holds('on-test')]))).toContain('check/case-bulged')
  })
})

test('whether anybody watches may not be known: then the gate itself says how it is lifted', () => {
  expect(liftsOf(permitOf([...LOW, answered('ask-on-test', 'dont-know')]))).toEqual([{ gate: 'on-test' }])
})

describe('circumstances at which a hazard stops', () => {
  const onTest = [...LOW, holds('on-test')]

  test('hold a step back until they are lifted', () => {
    expect(liftsOf(permitOf([...onTest, holds('caller-alone')]))).toEqual([{ context: ALONE }])
  })

  test('forbid it for good when one of them cannot be lifted, whatever else could', () => {
    const held = permitOf([...onTest, holds('caller-alone'), holds('water-about')])
    expect(held).toMatchObject({ reason: 'hazard-present', detail: 'hazard/shock context/water-about' })
    expect([liftsOf(held), isBeyondCaller(held)]).toEqual([[], true])
  })

  test('are named together with a gate that is closed, each once', () => {
    const both = permitOf([...LOW, answered('ask-on-test', 'no'), holds('caller-alone')])
    expect(liftsOf(both)).toEqual([{ context: ALONE }, { context: NOT_ON_TEST }])
  })
})

describe('a caller who is not on site', () => {
  const away = [...LOW, holds('on-test'), holds('caller-remote')]
  const byPhone: CompiledCheck = { ...LOOK, place: 'phone-or-app' }

  test('is asked to look at nothing there, and is told so', () => {
    expect(permitOf(away)).toMatchObject({ verdict: 'refused', reason: 'not-on-site', lift: [{ context: REMOTE }] })
    const advice = ask(away)
    expect(offered(advice)).toEqual([])
    expect(advice.plan.map((step) => liftsOf(step.permit))).toContainEqual([{ context: REMOTE }])
    expect(advice.stop).toBe('no-useful-check')
  })

  test('can do what is done by phone', () => {
    expect(permitOf(away, byPhone)).toEqual({ verdict: 'allowed' })
  })

  test('is asked for danger all the same', () => {
    expect(permitOf(away, { ...SMELL, place: 'box' } as CompiledCheck)).toEqual({ verdict: 'allowed' })
  })

  test('cannot read the rest of a display, and the call does not wait for it', () => {
    const advice = ask([present('battery-low'), { kind: 'screen', complete: false }, holds('caller-remote')])
    expect(offered(advice)).not.toContain('check/read-list')
    expect(advice.stop).toBeDefined()
  })
})

test('a question of a gate that is still open comes before a call to anybody, so that nobody calls in vain', () => {
  const contexts = [...liftable().contexts, { id: 'context/plug', dimension: 'feed', share: 0.5, shifts: [] }]
  const release = liftable({
    contexts,
    gates: [
      { ...base.gates[0]!, isLiftable: true },
      { id: 'feed', disturbs: ['cover'], needs: [contexts.length - 1], ask: 0 },
    ],
  })
  const held = permitOf([...LOW, answered('ask-on-test', 'no')], LOOK, release)
  expect(held).toMatchObject({ verdict: 'after', check: 0, gate: 'feed', held: { reason: 'gate-closed' } })
  expect(liftsOf(held)).toEqual([{ context: NOT_ON_TEST }])
  const { searched } = ask([...LOW, answered('ask-on-test', 'no')], release)
  expect(searched.checks.map(({ before }) => before)).not.toContain(CASE)
  expect(searched.refused.find(({ check }) => check === CASE)!.permit.reason).toBe('gate-closed')
})

test('a technician is held back by none of it', () => {
  const findings = [...LOW, answered('ask-on-test', 'no'), holds('caller-alone'), holds('caller-remote')]
  expect(permitOf(findings, LOOK, liftable(), { who: 'technician', tools: [] })).toEqual({ verdict: 'allowed' })
})
