import { describe, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { answer, checksOf, condition, context, diagnose, POWER, SAFE, screen, TOOLS } from '../support/calls.ts'

describe('POST /v1/diagnose guards what it offers', () => {
  const { checks, gates } = currentRelease().compiled

  /** Whether a gate stands before a check. */
  const isGated = (id: string, gate: (typeof gates)[number]) => {
    const check = checks.find((one) => one.id === id)!
    return gate.disturbs.some((part) => check.disturbs.includes(part)) && (gate.place ?? check.place) === check.place
  }
  const limits = { who: 'handy', tools: TOOLS }
  const BATTERY = [condition('battery-missing')]
  const [onTest, noMainsInBox] = ['on-test', 'no-mains-in-box'].map((id) => gates.find((gate) => gate.id === id)!)

  test('a check that disturbs is not offered before the test status is known: its question comes instead', async () => {
    const body = await diagnose(BATTERY, { limits })
    expect(checksOf(body).filter((id) => isGated(id, onTest!))).toEqual([])
    const question = body.nextChecks.find(({ check }: { check: string }) => check === 'check/ask-on-test')
    expect(question?.why).toMatch(/opens the way/)
    const opened = await diagnose([...BATTERY, ...SAFE], { limits })
    expect(checksOf(opened).some((id) => isGated(id, onTest!))).toBe(true)
  })

  test.each(['not-on-test', 'dont-know'])('no check that disturbs is offered after the answer %s', async (result) => {
    const body = await diagnose([...BATTERY, answer('ask-on-test', result)], { limits })
    expect(checksOf(body).filter((id) => isGated(id, onTest!))).toEqual([])
  })

  test('what the caller can lift comes as a step: the call to be made, then the question of the gate once more', async () => {
    const findings = [condition('loop-fault-open'), answer('ask-on-test', 'not-on-test'), screen(true)]
    const { nextChecks, refused } = await diagnose(findings, { limits })
    const step = nextChecks.find(({ lift }: { lift?: string[] }) => lift !== undefined)
    expect(step).toMatchObject({ check: 'check/ask-on-test', lift: [expect.stringContaining('monitoring center')] })
    expect(refused.map(({ check }: { check: string }) => check)).toContain(step.opensCheck)
    expect(nextChecks.map(({ check }: { check: string }) => check)).not.toContain(step.opensCheck)
    const again = await diagnose([...findings, answer('ask-on-test', 'not-on-test')], { limits })
    expect(again.nextChecks.filter(({ lift }: { lift?: string[] }) => lift !== undefined)).toEqual([])
  })

  test.each(['fixed-cable', 'cord-with-plug', 'dont-know'])(
    'a box fed by %s is refused to anyone but a technician',
    async (feed) => {
      const findings = [...BATTERY, answer('ask-on-test', 'on-test'), answer('ask-power-feed', feed)]
      const body = await diagnose(findings, { limits })
      expect(checksOf(body).filter((id) => isGated(id, noMainsInBox!))).toEqual([])
      expect(body.refused.map(({ detail }: { detail: string }) => detail)).toContain('no-mains-in-box')
      const technician = await diagnose(findings, { limits: { ...limits, who: 'technician' } })
      expect(technician.refused.map(({ detail }: { detail: string }) => detail)).not.toContain('no-mains-in-box')
    },
  )

  test('a caller is offered no check and no allowed remedy of a technician', async () => {
    const body = await diagnose([...POWER, ...SAFE], { limits: { who: 'caller', tools: TOOLS } })
    expect(body.nextChecks.filter(({ who }: { who: string }) => who !== 'caller')).toEqual([])
    const allowed = body.plan.filter(({ permit }: { permit: { verdict: string } }) => permit.verdict === 'allowed')
    expect(allowed.filter(({ who }: { who: string }) => who !== 'caller')).toEqual([])
  })

  test('no check longer than the limit is offered', async () => {
    const body = await diagnose(POWER, { limits: { ...limits, duration: { value: 90, unit: 's' } } })
    for (const { duration } of body.nextChecks) expect(duration.value).toBeLessThanOrEqual(1.5)
  })

  test('every hazard of an offered check or remedy is cautioned of', async () => {
    const body = await diagnose([...BATTERY, ...SAFE], { limits })
    const needed = [...body.nextChecks, ...body.plan].flatMap(({ hazards }: { hazards: string[] }) => hazards)
    expect(needed.length).toBeGreaterThan(0)
    const told = body.cautions.map(({ hazard }: { hazard: string }) => hazard)
    expect([...new Set(needed)].filter((hazard) => !told.includes(hazard))).toEqual([])
  })

  describe('when the one likely remedy waits for a question about a danger', () => {
    const out = [...POWER, answer('see-supply-plugged', 'out'), context('not-monitored'), screen(true)]

    test('that question comes first, names the remedy, and stands in the reason of the stop', async () => {
      const { stop, plan, nextChecks } = await diagnose(out)
      expect(nextChecks[0]).toMatchObject({ check: 'check/danger-hot-plug', opensRemedy: plan[0].remedy })
      expect(nextChecks[0].why).toContain(plan[0].label)
      expect(plan[0].permit).toMatchObject({ verdict: 'after', check: 'check/danger-hot-plug' })
      expect(stop.kind).toBe('confident')
      expect(stop.reason).toContain(nextChecks[0].label)
    })

    test('nothing waits any more once the questions are answered', async () => {
      const safe = [answer('danger-hot-plug', 'no'), answer('danger-water', 'no')]
      const { stop, plan, nextChecks } = await diagnose([...out, ...safe])
      expect(plan[0].permit).toEqual({ verdict: 'allowed' })
      expect(nextChecks.filter(({ opensRemedy }: { opensRemedy?: string }) => opensRemedy !== undefined)).toEqual([])
      expect(stop.reason).not.toContain('waits for')
    })
  })
})
