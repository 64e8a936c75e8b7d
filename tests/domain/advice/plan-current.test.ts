import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../../src/domain/advice/advise.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import { circumstancesOf } from '../../../src/domain/advice/gathered.ts'
import { networkUnder, priorsOf } from '../../../src/domain/advice/instantiate.ts'
import { isBeyondCaller } from '../../../src/domain/advice/permit.ts'
import { planCandidates } from '../../../src/domain/advice/plan-candidates.ts'
import { MAX_STEPS } from '../../../src/domain/advice/plan-choice.ts'
import { clearing } from '../../../src/domain/diagnosis/clear.ts'
import { prepare } from '../../../src/domain/diagnosis/prepare.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import { allRead, answered, holds, present } from '../../support/small-release.ts'

const { compiled } = currentRelease()
const CALLER: Limits = { who: 'caller', tools: [] }
const ask = (findings: readonly Finding[], limits = CALLER) => advise({ release: compiled, findings, limits })
const planned = ({ plan }: Advice) => plan.map(({ remedy }) => compiled.remedies[remedy]!.id)

/** Places in the plan of the remedies of a cause of a family. */
const placesOf = (advice: Advice, family: string) =>
  advice.plan.flatMap(({ fixes }, place) =>
    fixes.some(({ cause }) => compiled.causes[advice.known.instance.keys[cause]!.cause]!.family === family)
      ? [place]
      : [],
  )

function stateOf(findings: readonly Finding[]) {
  const known = gather(compiled, findings)
  const network = networkUnder(known.instance, priorsOf(known.instance, undefined), circumstancesOf(known))
  const prepared = prepare(network, known.evidence)
  return { known, prepared, posterior: prepared.inference.posterior, limits: CALLER }
}

/** What remedies of the release clear of each condition that stands, worked out apart from any plan. */
function clearingOf(findings: readonly Finding[]) {
  const { known, prepared } = stateOf(findings)
  const each = known.present.map(({ effect }) => clearing(prepared, [effect]))
  return (remedies: readonly number[]) => {
    const fixed = prepared.network.prior.map(() => 0)
    for (const { cause, probability } of remedies.flatMap((remedy) => compiled.remedies[remedy]!.fixes))
      for (const copy of known.instance.copiesOf(cause)) fixed[copy] = 1 - (1 - fixed[copy]!) * (1 - probability)
    return each.map((clears) => clears(fixed))
  }
}
const clearedAlone = (findings: readonly Finding[]) => {
  const clears = clearingOf(findings)
  return compiled.remedies.map((_, remedy) => clears([remedy]))
}

describe('with the supply and the battery in trouble', () => {
  const both = [present('mains-missing'), present('battery-low')]

  test('every remedy of the supply comes before a new battery, even an old one', () => {
    const advice = ask([...both, present('battery-test-failed'), holds('battery-age-over-4y')])
    expect(planned(advice)).toContain('remedy/replace-storage-battery')
    expect(placesOf(advice, 'power').length).toBeGreaterThan(1)
    expect(Math.max(...placesOf(advice, 'power'))).toBeLessThan(Math.min(...placesOf(advice, 'storage-battery')))
  })

  test('the clock is set last of those, and a radio cell has a remedy of its own', () => {
    const advice = ask([...both, present('clock-not-set'), present('radio-sensor-battery-low')])
    const order = planned(advice)
    const clock = order.indexOf('remedy/set-clock')
    expect(Math.max(...placesOf(advice, 'power'))).toBeLessThan(Math.min(...placesOf(advice, 'storage-battery')))
    expect(Math.max(...placesOf(advice, 'storage-battery'))).toBeLessThan(clock)
    expect(placesOf(advice, 'radio-device').length).toBeGreaterThan(0)
  })

  test('the question of danger that the one remedy waits for is put first, also beside the stop', () => {
    const known = [allRead, answered('see-supply-plugged', 'out'), holds('not-monitored')]
    const advice = ask([...both, ...known])
    expect(advice.stop).toBe('confident')
    const [first] = advice.searched.checks
    expect(compiled.checks[first!.check]!.id).toBe('check/danger-hot-plug')
    expect(first).toMatchObject({ why: 'opens-the-plan', opensRemedy: advice.plan[0]!.remedy })
    const safe = ask([...both, ...known, answered('danger-hot-plug', 'no'), answered('danger-water', 'no')])
    expect(safe.plan[0]!.permit).toEqual({ verdict: 'allowed' })
    expect(safe.searched.checks.filter(({ why }) => why === 'opens-the-plan')).toEqual([])
  })
})

test('a supply that only a handier person may replace counts as a visit', () => {
  const findings = [
    present('mains-missing'),
    answered('lamp-in-socket', 'lights'),
    answered('feel-supply-warm', 'cold'),
  ]
  const { cost, plan } = ask(findings)
  const first = plan.findIndex(({ permit }) => isBeyondCaller(permit))
  expect(compiled.remedies[plan[first]!.remedy]!.who).toBe('handy')
  expect(cost.visitProbability).toBeCloseTo(1 - plan[first - 1]!.clearsProbability, 12)
  expect(ask(findings, { ...CALLER, who: 'handy' }).cost.visitProbability).toBe(0)
})

test('four radio devices that are lost together leave the caller own acts, and a technician goes first only where that clears more for its cost', () => {
  const findings = ['hall', 'attic', 'porch', 'study'].map((device) => present('radio-device-missing', { device }))
  const { plan } = ask(findings)
  const alone = clearedAlone(findings)
  const candidates = planCandidates(stateOf(findings))
  const rateOf = (remedy: number) =>
    alone[remedy]!.reduce((sum, clears) => sum + clears, 0) / candidates.find((one) => one.remedy === remedy)!.cost
  const own = plan.filter(({ permit }) => !isBeyondCaller(permit))
  expect(own.length).toBeGreaterThan(2)
  for (const { remedy } of plan.slice(0, plan.indexOf(own[0]!)))
    expect(rateOf(remedy)).toBeGreaterThan(rateOf(own[0]!.remedy))
})

describe('whatever stands, but for what is a danger by itself', () => {
  const ids = compiled.conditions
    .map(({ id }) => id.replace('condition/', ''))
    .filter((id) => gather(compiled, [present(id)]).dangers.length === 0)
  const some = fc.shuffledSubarray(ids, { minLength: 1, maxLength: 8 })
  const runs = { numRuns: 40 }

  test('a plan has few steps, each clears something, and later ones never undo it', () => {
    fc.assert(
      fc.property(some, (standing) => {
        const findings = standing.map((id) => present(id))
        const advice = ask(findings)
        const alone = clearedAlone(findings)
        expect(advice.plan.length).toBeLessThanOrEqual(MAX_STEPS)
        expect(new Set(planned(advice)).size).toBe(advice.plan.length)
        for (const { remedy } of advice.plan) expect(Math.max(...alone[remedy]!)).toBeGreaterThan(0)
        const after = advice.plan.map(({ clearsProbability }) => clearsProbability)
        for (const [at, value] of after.entries()) expect(value).toBeGreaterThanOrEqual((after[at - 1] ?? 0) - 1e-12)
      }),
      runs,
    )
  })

  test('every condition that a remedy can clear is cleared at least half as well as by its best one, while there are places', () => {
    fc.assert(
      fc.property(fc.shuffledSubarray(ids, { minLength: 1, maxLength: MAX_STEPS }), (standing) => {
        const findings = standing.map((id) => present(id))
        const advice = ask(findings)
        const alone = clearedAlone(findings)
        const cleared = clearingOf(findings)(advice.plan.map(({ remedy }) => remedy))
        standing.forEach((id, condition) => {
          const most = Math.max(...alone.map((clears) => clears[condition]!))
          if (most >= 0.03) expect(cleared[condition], `${id} of ${standing}`).toBeGreaterThan(0.49 * most)
        })
      }),
      runs,
    )
  })

  test('the plan is the same in whatever order it was found', () => {
    fc.assert(
      fc.property(some, (standing) => {
        const findings = standing.map((id) => present(id))
        expect(planned(ask(findings.toReversed()))).toEqual(planned(ask(findings)))
      }),
      runs,
    )
  })

  test('the supply is plugged in before a battery is replaced', () => {
    fc.assert(
      fc.property(some, (standing) => {
        const order = planned(
          ask([...standing.map((id) => present(id)), present('mains-missing'), present('battery-low')]),
        )
        const battery = order.indexOf('remedy/replace-storage-battery')
        const supply = order.indexOf('remedy/plug-supply-in')
        if (battery >= 0 && supply >= 0) expect(supply).toBeLessThan(battery)
      }),
      runs,
    )
  })
})
