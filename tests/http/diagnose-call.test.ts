import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import {
  answer,
  condition,
  context,
  diagnose,
  POWER,
  post,
  probabilityOf,
  ranking,
  SAFE,
  screen,
} from '../support/calls.ts'

const signal = (code: string, more: object = {}) => ({ kind: 'signal', scheme: 'dc-05', code, ...more })
const { checks } = currentRelease().compiled
const dangers = checks.flatMap(({ id, model }) =>
  model.kind === 'danger' ? [{ kind: 'answer', check: id, result: model.sign }] : [],
)

describe('a step that is refused', () => {
  const refusals = async (findings: object[], limits: object = {}) => {
    const { plan, refused } = await diagnose(findings, { limits })
    const ofPlan = plan.map(({ permit }: { permit: { verdict: string; reason?: string } }) => permit)
    return [...ofPlan.filter(({ verdict }: { verdict: string }) => verdict === 'refused'), ...refused] as {
      reason: string
    }[]
  }

  test('says why in words, never by an id', async () => {
    const all = await Promise.all([
      refusals(POWER),
      refusals([condition('battery-low'), context('battery-swollen-or-leaking')], { ownerVerified: true }),
      refusals([condition('battery-low'), answer('read-mains-lamp', 'lit'), answer('battery-look', 'swollen')]),
      refusals([condition('panel-enclosure-tamper'), context('monitored-not-on-test')]),
      refusals([condition('loop-fault-open')], { who: 'handy', duration: { value: 1, unit: 'min' } }),
    ])
    const reasons = all.flat().map(({ reason }) => reason)
    expect(reasons.length).toBeGreaterThan(20)
    expect(reasons.filter((reason) => /[a-z]+\/[a-z]|limits\./.test(reason))).toEqual([])
    expect(reasons).toContain('Only once "Look at the case of the battery" has given "Flat, dry and whole".')
  })

  test('has its own cautions behind those of the steps that may be done', async () => {
    const { plan, cautions } = await diagnose([condition('mains-missing'), condition('charger-fault')])
    const refused = plan.flatMap(({ remedy, permit }: { remedy: string; permit: { verdict: string } }) =>
      permit.verdict === 'refused' ? [remedy] : [],
    )
    const isOfRefused = cautions.map(({ because }: { because: string[] }) =>
      because.every((id) => refused.includes(id)),
    )
    expect(isOfRefused).toContain(true)
    expect(isOfRefused).toEqual([...isOfRefused].sort())
  })

  /** The outlet works, the block in it does not. */
  const DEAD_BLOCK = [answer('lamp-in-socket', 'lights'), answer('feel-supply-warm', 'cold')]

  test('sends for somebody handy, and not for a licensed person, where such a person can do all that remains', async () => {
    const [mail, smoke] = await Promise.all([
      diagnose([condition('notification-message-failed'), screen(true), answer('ask-mail-password', 'yes')]),
      diagnose([condition('smoke-detector-end-of-life'), screen(true), answer('detector-date-look', 'yes')]),
    ])
    expect([mail.stop.kind, smoke.stop.kind]).toEqual(['needs-technician', 'needs-technician'])
    expect(mail.stop.reason).toMatch(/somebody handy/)
    expect(smoke.stop.reason).not.toMatch(/somebody handy/)
  })

  test('sends nobody who is handy away to a licensed person', async () => {
    const { plan } = await diagnose([condition('mains-missing'), ...DEAD_BLOCK])
    const { who, permit } = plan.find(({ remedy }: { remedy: string }) => remedy === 'remedy/replace-plug-in-supply')
    expect([who, permit.verdict]).toEqual(['handy', 'refused'])
    expect(permit.reason).toMatch(/handy/)
    expect(permit.reason).not.toMatch(/licensed/)
  })
})

describe('a signal of a standard', () => {
  test('counts as the condition that its code stands for', async () => {
    const [told, shown] = await Promise.all([
      diagnose([signal('301'), signal('302')]),
      diagnose([condition('mains-missing'), condition('battery-low')]),
    ])
    expect(ranking(told)).toEqual(ranking(shown))
  })

  test('that restores counts as its absence', async () => {
    const [told, shown] = await Promise.all([
      diagnose([condition('battery-low'), signal('301', { state: 'absent' })]),
      diagnose([condition('battery-low'), condition('mains-missing', 'absent')]),
    ])
    expect(ranking(told)).toEqual(ranking(shown))
  })

  test('and the display that says the same count once', async () => {
    const [twice, once] = await Promise.all([diagnose([...POWER, signal('301')]), diagnose(POWER)])
    expect(ranking(twice)).toEqual(ranking(once))
  })

  test('against the display is a contradiction that names both', async () => {
    const { contradictions } = await diagnose([condition('mains-missing', 'absent'), signal('301')])
    expect(contradictions).toEqual([{ about: 'condition/mains-missing', findings: [0, 1] }])
  })

  test('without an equivalent keeps its place and is said to be unused', async () => {
    const { unused } = await diagnose([signal('401'), ...POWER])
    expect(unused).toEqual([0])
  })

  test.each([
    ['an unknown scheme', { ...signal('301'), scheme: 'dc-99' }, '/findings/0/scheme'],
    ['an unknown code', signal('0'), '/findings/0/code'],
  ])('of %s is refused with what there is', async (_, finding, pointer) => {
    const { status, body } = await post([finding])
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, 'UNKNOWN_ID', pointer])
  })
})

describe('a circumstance', () => {
  const old = (reliability?: number) => [
    condition('battery-low'),
    { ...context('battery-age-over-4y'), ...(reliability === undefined ? {} : { reliability }) },
  ]

  test('that is half sure moves the ranking less than one that is sure', async () => {
    const [none, half, sure] = await Promise.all(
      [[condition('battery-low')], old(0.5), old()].map((findings) => diagnose(findings)),
    )
    const worn = (body: Parameters<typeof probabilityOf>[0]) => probabilityOf(body, 'battery-worn-out')
    expect(worn(half)).toBeGreaterThan(worn(none))
    expect(worn(sure)).toBeGreaterThan(worn(half))
  })

  test('that is only likely opens no gate', async () => {
    const opening = async (reliability: number) => {
      const onTest = { ...answer('ask-on-test', 'on-test'), reliability }
      const findings = [condition('battery-low'), onTest, answer('ask-power-feed', 'plug-in-block'), screen(true)]
      const { nextChecks } = await diagnose(findings)
      return nextChecks.filter(({ disturbs }: { disturbs: string[] }) => disturbs.includes('cover')).length
    }
    expect(await opening(1)).toBeGreaterThan(0)
    expect(await opening(0.7)).toBe(0)
  })
})

describe('the test of a monitored system', () => {
  const onTest = (until: string) => ({ ...answer('ask-on-test', 'on-test'), until })
  const steps = ({ plan }: { plan: { disturbs?: string[]; permit: { verdict: string; check?: string } }[] }) => plan
  const at = '2026-11-25T03:00:00Z'

  test('that has run out counts as not known: what could raise a signal waits for it again', async () => {
    const findings = [
      condition('battery-low'),
      onTest('2026-11-25T02:59:00Z'),
      answer('ask-power-feed', 'plug-in-block'),
    ]
    const body = await diagnose(findings, { limits: { at } })
    expect(body.unused).toEqual([1])
    const waiting = steps(body).filter(({ permit }) => permit.check === 'check/ask-on-test')
    expect(waiting.length).toBeGreaterThan(0)
  })

  test('with an end counts as not known where nobody says what time it is', async () => {
    const findings = [
      condition('battery-low'),
      onTest('2026-11-25T04:00:00Z'),
      answer('ask-power-feed', 'plug-in-block'),
    ]
    const body = await diagnose(findings)
    expect(body.unused).toEqual([1])
    expect(steps(body).filter(({ permit }) => permit.check === 'check/ask-on-test').length).toBeGreaterThan(0)
  })

  test('that still runs lets them go on, and off test is what ends the call', async () => {
    const findings = [
      condition('battery-low'),
      onTest('2026-11-25T04:00:00Z'),
      answer('ask-power-feed', 'plug-in-block'),
    ]
    const body = await diagnose(findings, { limits: { at } })
    expect(steps(body).filter(({ permit }) => permit.check === 'check/ask-on-test')).toEqual([])
    expect(body.closing.at(-1)).toMatch(/off test/)
  })
})

test('a remedy that lowers security is refused until it is sure that the caller may decide', async () => {
  const findings = [condition('phone-line-missing')]
  const lowering = new Set(
    currentRelease()
      .ontology.remedy.filter(({ lowersSecurity }) => lowersSecurity)
      .map(({ id }) => id),
  )
  const verdicts = async (ownerVerified: boolean) => {
    const { plan } = await diagnose(findings, { limits: { who: 'technician', tools: [], ownerVerified } })
    return plan.filter(({ remedy }: { remedy: string }) => lowering.has(remedy))
  }
  const [unsure, sure] = [await verdicts(false), await verdicts(true)]
  expect([unsure.length > 0, sure.length > 0]).toEqual([true, true])
  for (const { permit } of unsure) expect(permit.reason).toMatch(/may decide/)
  for (const { permit } of sure) expect(permit.verdict).toBe('allowed')
})

describe('an answer says in words', () => {
  test('what each item does to a cause, from slight to very strong', async () => {
    const { causes } = await diagnose([...POWER, screen(true)])
    for (const { evidence } of causes)
      for (const { sentence, decibans } of evidence) {
        expect(sentence).toMatch(decibans >= 0 ? / for this\.$/ : / against this\.$/)
        if (Math.abs(decibans) > 10 * Math.log10(150)) expect(sentence).toContain('very strongly')
      }
  })

  test('what speaks for a cause in sentences, each fact once', async () => {
    const sentencesOf = async (findings: object[]) => {
      const { causes } = await diagnose(findings)
      return new Set<string>(
        causes.flatMap(({ evidence }: { evidence: { sentence: string }[] }) =>
          evidence.map(({ sentence }) => sentence),
        ),
      )
    }
    const power = await sentencesOf([condition('mains-missing'), signal('301')])
    expect(power).toContain('The item "AC power missing" speaks for this.')
    expect([...power].filter((sentence) => sentence.split('AC power missing').length !== 2)).toEqual([])
    const battery = [condition('battery-low'), context('battery-age-over-4y'), context('cold-snap')]
    expect([...(await sentencesOf(battery))].filter((sentence) => / and /.test(sentence))).toEqual(
      expect.arrayContaining([
        expect.stringMatching(/^".+" and ".+" speak (?:slightly |strongly )?(?:for|against) this\.$/),
      ]),
    )
    const absent = await sentencesOf([condition('battery-low'), condition('mains-missing', 'absent')])
    expect([...absent].join()).toContain('The absence of "AC power missing" speaks')
  })

  test('which finding carries the cause in front, and which answer would put another there', async () => {
    const { wouldChange, causes } = await diagnose(POWER)
    expect(wouldChange[0]).toContain(`"${causes[0].label}" would stand at`)
    expect(wouldChange[1]).toMatch(/^If ".+" gives ".+", ".+" comes to the front with \d+ %\.$/)
  })

  test('what the start of a call settles, and what of it is done', async () => {
    const stateOf = async (findings: object[]) => {
      const { prologue } = await diagnose(findings)
      return Object.fromEntries(prologue.map(({ step, state }: { step: string; state: string }) => [step, state]))
    }
    expect(await stateOf([])).toEqual({
      emergency: 'open',
      'call-path': 'open',
      'at-the-keypad': 'open',
      'right-to-touch': 'open',
      'caller-limits': 'open',
      'life-safety': 'open',
      'on-test': 'open',
      silence: 'say',
      'whole-list': 'open',
    })
    expect((await stateOf([answer('ask-on-test', 'dont-know')]))['on-test']).toBe('done')
  })

  test.each([
    ['on-test', context('on-test'), 'done'],
    ['on-test', context('not-monitored'), 'done'],
    ['on-test', context('on-test', 'does-not-hold'), 'done'],
    ['life-safety', context('no-life-safety-devices'), 'done'],
    ['at-the-keypad', context('caller-remote'), 'done'],
    ['whole-list', screen(true), 'done'],
    ['whole-list', screen(false), 'open'],
    ['whole-list', answer('read-trouble-list', 'all-read'), 'done'],
    ['whole-list', answer('read-trouble-list', 'more-left'), 'open'],
  ])('its step %s is settled by what is known from elsewhere as well: %j', async (step, finding, expected) => {
    const { prologue } = await diagnose([condition('mains-missing'), finding])
    const found = prologue.find((one: { step: string }) => one.step === step)
    expect(found.state).toBe(expected)
  })

  test('what the plan is expected to cost, never more than its steps in full', async () => {
    const { plan, planCost } = await diagnose(POWER)
    const whole = plan.reduce((sum: number, { duration }: { duration: { value: number } }) => sum + duration.value, 0)
    expect(planCost.duration.value).toBeGreaterThan(0)
    expect(planCost.duration.value).toBeLessThanOrEqual(whole)
    expect(planCost.visitProbability).toBeLessThanOrEqual(1)
  })
})

describe('questions to be put in one breath', () => {
  test('are named only when asked for', async () => {
    expect((await diagnose(POWER)).together).toEqual([])
  })

  test('are at most as many as asked for, each offered, quick and without hazard', async () => {
    const { together, nextChecks } = await diagnose([...POWER, condition('clock-not-set')], {
      limits: { questionsAtOnce: 3 },
    })
    expect(together.length).toBeGreaterThan(0)
    expect(together.length).toBeLessThanOrEqual(3)
    for (const { check } of together) {
      const offered = nextChecks.find((next: { check: string }) => next.check === check)
      if (offered) expect([offered.hazards, offered.disturbs]).toEqual([[], []])
      expect(checks.find(({ id }) => id === check)!.minutes).toBeLessThanOrEqual(1)
    }
  })
})

describe('a caller who cannot hear', () => {
  const lacking = { limits: { lackingSenses: ['hearing'] } }
  const calls = [condition('sounder-circuit-trouble'), condition('phone-line-missing')]
  const hearing = checks.filter(({ senses }) => senses?.includes('hearing')).map(({ id }) => id)

  test('is not asked what only hearing can tell', async () => {
    const [deaf, hears] = await Promise.all([diagnose(calls, lacking), diagnose(calls)])
    const asked = (body: { nextChecks: { check: string }[] }) =>
      body.nextChecks.filter(({ check }) => hearing.includes(check))
    expect(asked(hears).length).toBeGreaterThan(0)
    expect(asked(deaf)).toEqual([])
  })

  test('has not heard that it is silent: the answer is not known, never "no"', async () => {
    const silent = answer('siren-output-test', 'mute')
    const [told, untold] = await Promise.all([diagnose([...calls, silent], lacking), diagnose(calls, lacking)])
    expect(told.unused).toEqual([2])
    expect(ranking(told)).toEqual(ranking(untold))
  })

  test('who says all the same that an alarm sounds is believed, and who denies it is asked through somebody else', async () => {
    const sounding = checks.find(({ id }) => id === 'check/danger-alarm-sounding')!
    const { sign } = sounding.model as { sign: string }
    const denial = sounding.results.find((result) => result !== sign)!
    const [warned, denied] = await Promise.all(
      [sign, denial].map((result) => diagnose([...calls, answer('danger-alarm-sounding', result)], lacking)),
    )
    expect(warned.stop.kind).toBe('danger')
    expect(denied.dangerQuestions.map(({ check }: { check: string }) => check)).toContain('check/danger-alarm-sounding')
  })
})

test('no order, language, doubt, age or company of other findings gets a danger sign past the stop', async () => {
  const around = [...POWER, screen(true), ...SAFE, context('battery-age-over-4y'), signal('302')]
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(...dangers),
      fc.shuffledSubarray(around),
      fc.nat(8),
      fc.constantFrom('en-US', 'en-GB', 'de', 'fr-CA', 'xx'),
      fc.record({
        reliability: fc.double({ min: 0.5, max: 1, noNaN: true }),
        tense: fc.constantFrom('now', 'earlier'),
        device: fc.constantFrom('hall', 'attic'),
      }),
      fc.constantFrom('caller', 'handy', 'technician'),
      async (danger, others, place, language, more, who) => {
        const findings = [...others.slice(0, place), { ...danger, ...more }, ...others.slice(place)]
        const body = await diagnose(findings, { language, limits: { who, tools: [] } })
        expect([body.stop?.kind, body.nextChecks, body.plan]).toEqual(['danger', [], []])
        expect(body.stop.acts.length).toBeGreaterThan(0)
      },
    ),
    { numRuns: 150, seed: 20261125 },
  )
})
