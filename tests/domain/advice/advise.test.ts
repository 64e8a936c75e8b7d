import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { absent, allRead, answered, deepFrozen, holds, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const ask = (findings: Finding[], limits = CALLER, release: CompiledRelease = smallRelease()) =>
  advise({ release, findings, limits })

const idOf = ({ known }: Advice, index: number) => {
  const { keys, release } = known.instance
  return release.causes[keys[index]!.cause]!.id
}
const chance = (advice: Advice, id: string, device?: string) =>
  advice.causes.find(
    (ranked) => advice.known.instance.release.causes[ranked.cause]!.id === id && ranked.device === device,
  )?.probability ?? 0
const offered = ({ known, searched }: Advice) =>
  searched.checks.map(({ check }) => known.instance.release.checks[check]!.id)
const refusals = ({ known, searched }: Advice) =>
  new Map(searched.refused.map(({ check, permit }) => [known.instance.release.checks[check]!.id, permit.reason]))
const planned = ({ known, plan }: Advice) => plan.map(({ remedy }) => known.instance.release.remedies[remedy]!.id)

describe('causes', () => {
  test('follow Bayes with one condition and nothing else', () => {
    const { causes } = smallRelease()
    const release = smallRelease({ causes: [causes[0]!, ...causes.slice(1).map((one) => ({ ...one, prior: 0 }))] })
    const none = 1 - (1 - 0.001) * (1 - 0.9)
    const expected = (0.05 * none) / (0.05 * none + 0.95 * 0.001)
    expect(chance(ask([present('battery-low')], CALLER, release), 'cause/battery-worn')).toBeCloseTo(expected, 12)
  })

  test('keep no chance once a context removes them', () => {
    const findings = [present('supply-missing'), present('battery-low')]
    expect(chance(ask(findings), 'cause/supply-dead')).toBeGreaterThan(0.5)
    const advice = ask([...findings, holds('no-supply')])
    expect(chance(advice, 'cause/supply-dead')).toBe(0)
    expect(advice.hypotheses.sets.flatMap(({ causes }) => causes.map((index) => idOf(advice, index)))).not.toContain(
      'cause/supply-dead',
    )
  })

  test('fall less by silence of the display than by a stated absence', () => {
    const known = chance(ask([present('battery-low')]), 'cause/supply-dead')
    const silent = chance(ask([present('battery-low'), allRead]), 'cause/supply-dead')
    const stated = chance(ask([present('battery-low'), absent('supply-missing')]), 'cause/supply-dead')
    expect(silent).toBeLessThan(known)
    expect(stated).toBeLessThan(silent)
  })

  test('are the same with a fact said twice', () => {
    const once = ask([present('battery-low', { reliability: 0.8 })])
    const twice = ask([present('battery-low', { reliability: 0.8 }), present('battery-low', { reliability: 0.8 })])
    for (const { cause, probability } of once.causes)
      expect(twice.causes.find((other) => other.cause === cause)?.probability).toBe(probability)
  })

  test('do not depend on the order of the findings', () => {
    const findings = [present('battery-low'), holds('old-battery'), absent('supply-missing'), allRead]
    const ids = ['cause/battery-worn', 'cause/supply-dead']
    for (const id of ids) expect(chance(ask(findings.toReversed()), id)).toBeCloseTo(chance(ask(findings), id), 12)
  })

  test('belong to each device on its own', () => {
    const advice = ask([
      present('radio-low', { device: 'hall' }),
      present('radio-low', { device: 'attic' }),
      answered('radio-near', 'yes', { device: 'hall' }),
    ])
    expect(chance(advice, 'cause/radio-cell', 'hall')).toBeGreaterThan(0.5)
    expect(chance(advice, 'cause/radio-cell', 'attic')).toBeGreaterThan(0.5)
    expect(chance(advice, 'cause/radio-cell')).toBe(0)
  })

  test('add up in decibans from the prior to the posterior', () => {
    for (const cause of ask([present('battery-low'), holds('old-battery'), allRead]).causes) {
      const total = cause.evidence.reduce((sum, { decibans }) => sum + decibans, cause.priorDecibans)
      expect(total).toBeCloseTo(10 * Math.log10(cause.probability / (1 - cause.probability)), 9)
    }
  })
})

describe('stops', () => {
  test('put danger above all: no check, no plan', () => {
    const advice = ask([present('battery-low'), allRead, answered('smell', 'yes')])
    expect(advice.stop).toBe('danger')
    expect([advice.searched.checks, advice.plan]).toEqual([[], []])
  })

  test('keep a danger that another answer denies', () => {
    expect(ask([answered('smell', 'yes'), answered('smell', 'no')]).stop).toBe('danger')
  })

  test('do not come while the display holds more', () => {
    const advice = ask([present('battery-low'), answered('case-bulged', 'yes'), { kind: 'screen', complete: false }])
    expect(advice.stop).toBeUndefined()
    expect(advice.searched.checks[0]?.why).toBe('open-the-display-first')
  })

  test('are not confident when what stands is worth nothing', () => {
    const advice = ask([present('battery-low', { reliability: 0.5 }), allRead])
    expect(advice.plan).toEqual([])
    expect(advice.stop).not.toBe('confident')
  })

  test('are confident when the likely remedy clears what stands', () => {
    expect(ask([present('battery-low'), answered('case-bulged', 'yes'), allRead]).stop).toBe('confident')
  })

  test('are not confident by the display alone while a question is left that could speak for or against it', () => {
    const likely = smallRelease().causes.map((one) => ({ ...one, prior: one.id === 'cause/battery-worn' ? 0.3 : 1e-4 }))
    const effects = smallRelease().effects.map((one) =>
      one.id === 'condition/battery-low' ? { ...one, leak: [0.97, 0.03] } : one,
    )
    const release = smallRelease({ causes: likely, effects })
    const shown = ask([present('battery-low'), allRead], { ...CALLER, tools: ['multimeter'] }, release)
    expect(shown.causes[0]!.probability).toBeGreaterThan(0.9)
    expect(shown.searched.checks.length).toBeGreaterThan(0)
    expect(shown.stop).toBeUndefined()
    const findings = [present('battery-low'), answered('case-bulged', 'yes'), allRead]
    expect(ask(findings, CALLER, release).stop).toBe('confident')
  })

  test('are not confident by the display alone while a check that could tell is only out of reach', () => {
    const likely = smallRelease().causes.map((one) => ({ ...one, prior: one.id === 'cause/battery-worn' ? 0.3 : 1e-4 }))
    const effects = smallRelease().effects.map((one) =>
      one.id === 'condition/battery-low' ? { ...one, leak: [0.97, 0.03] } : one,
    )
    const checks = smallRelease().checks.map((one) => ({ ...one, tools: ['bench'] }))
    const release = smallRelease({ causes: likely, effects, checks })
    const { stop, searched, causes } = ask([present('battery-low'), allRead], CALLER, release)
    expect(causes[0]!.probability).toBeGreaterThan(0.9)
    expect([searched.checks.length, searched.refused.length > 0]).toEqual([0, true])
    expect(stop).toBe('no-useful-check')
  })

  test('call a technician at once when nothing in reach helps and no question is worth it', () => {
    const { remedies, checks } = smallRelease()
    const release = smallRelease({
      remedies: remedies.map((one) => ({ ...one, who: 'technician' })),
      checks: checks.map((one) => ({ ...one, minutes: 60 })),
    })
    const findings = [present('battery-low'), present('supply-missing'), allRead]
    expect(ask(findings, CALLER, release).stop).toBe('needs-technician')
  })

  describe('say that nothing fits when findings pull apart and no cause is likely', () => {
    const rare = smallRelease().causes.map((one) => ({ ...one, prior: 0.01 }))
    const effects = smallRelease().effects.map((one) => ({ ...one, leak: [0.9, 0.1], links: one.links.slice(0, 1) }))
    const findings = [present('battery-low'), present('supply-missing'), allRead]

    test('and nothing is left to ask that would tell much', () => {
      const checks = smallRelease().checks.map((one) => ({ ...one, minutes: 60 }))
      const advice = ask(findings, CALLER, smallRelease({ causes: rare, effects, checks }))
      expect(advice.causes.every(({ probability }) => probability < 0.5)).toBe(true)
      expect(advice.stop).toBe('does-not-fit')
    })

    test('but not before a question that could settle it has been put', () => {
      expect(ask(findings, CALLER, smallRelease({ causes: rare, effects })).stop).toBeUndefined()
    })
  })

  test('call a technician for a remedy that is not for the caller, not for one that takes long', () => {
    const findings = [present('supply-missing'), present('battery-low'), answered('lamp-off', 'yes'), allRead]
    expect(ask(findings, { ...CALLER, minutes: 30 }).stop).toBe('confident')
    const { remedies } = smallRelease()
    const release = smallRelease({ remedies: remedies.map((one) => ({ ...one, who: 'technician' })) })
    expect(ask(findings, CALLER, release).stop).toBe('needs-technician')
    expect(ask(findings, { who: 'technician', tools: [] }, release).stop).toBe('confident')
  })

  test('say that nothing fits when only the leak can explain it', () => {
    const { causes } = smallRelease()
    const release = smallRelease({ causes: causes.map((one) => ({ ...one, prior: 1e-6 })) })
    expect(ask([present('battery-low'), allRead], CALLER, release).stop).toBe('does-not-fit')
  })
})

describe('checks', () => {
  test('behind a gate come after its question', () => {
    const advice = ask([present('battery-low'), allRead])
    const opener = advice.searched.checks.find(({ why }) => why === 'opens-the-way')
    const { checks } = advice.known.instance.release
    expect(checks[opener!.check]!.id).toBe('check/ask-on-test')
    expect(checks[opener!.before!]!.id).toBe('check/case-bulged')
    expect(offered(advice)).not.toContain('check/case-bulged')
  })

  test('behind a gate are offered once it is open', () => {
    expect(offered(ask([present('battery-low'), allRead, holds('on-test')]))).toContain('check/case-bulged')
  })

  test.each(['no', 'dont-know'])('behind a gate are refused after "%s"', (result) => {
    const advice = ask([present('battery-low'), allRead, answered('ask-on-test', result)])
    expect(refusals(advice).get('check/case-bulged')).toBe('gate-closed')
    expect(offered(advice)).not.toContain('check/ask-on-test')
  })

  test('with a hazard that is real now are for a technician only', () => {
    const findings = [present('battery-low'), allRead, holds('on-test'), holds('water-about')]
    expect(refusals(ask(findings)).get('check/case-bulged')).toBe('hazard-present')
    expect(offered(ask(findings, { who: 'technician', tools: [] }))).toContain('check/case-bulged')
  })

  test('that are about other conditions than those that stand are not put', () => {
    const { checks, conditions } = smallRelease()
    const about = [conditions.findIndex(({ id }) => id === 'condition/battery-low')]
    const release = smallRelease({
      checks: checks.map((one) => (one.id === 'check/lamp-off' ? { ...one, about } : one)),
    })
    const missing = [present('supply-missing'), allRead]
    expect(offered(ask(missing))).toContain('check/lamp-off')
    expect(offered(ask(missing, CALLER, release))).not.toContain('check/lamp-off')
    expect(offered(ask([...missing, present('battery-low')], CALLER, release))).toContain('check/lamp-off')
  })

  test('take for granted a tool that nearly everybody has, until it is said to be lacking', () => {
    const findings = [present('battery-low'), allRead]
    const release = smallRelease({ toolsAtHand: ['multimeter'] })
    const bare: Limits = { who: 'technician', tools: [] }
    expect(offered(ask(findings, bare, release))).toContain('check/rest-voltage')
    const lacking = ask(findings, { ...bare, lackingTools: ['multimeter'] }, release)
    expect(refusals(lacking).get('check/rest-voltage')).toBe('needs-tool')
  })

  test('need their tools and their time, also from a technician', () => {
    const findings = [present('battery-low'), allRead]
    expect(refusals(ask(findings, { who: 'technician', tools: [] })).get('check/rest-voltage')).toBe('needs-tool')
    const hurried: Limits = { who: 'technician', tools: ['multimeter'], minutes: 4 }
    expect(refusals(ask(findings, hurried)).get('check/rest-voltage')).toBe('takes-too-long')
    expect(offered(ask(findings, { ...hurried, minutes: 5 }))).toContain('check/rest-voltage')
  })

  test('that need an earlier result are not allowed by contradictory ones', () => {
    const { checks } = smallRelease()
    const requires = [{ check: 0, result: 'no' }]
    const release = smallRelease({
      checks: checks.map((one, at) => (at === 2 ? { ...one, tools: [], requires } : one)),
    })
    const having = (...answers: Finding[]) => ask([present('battery-low'), allRead, ...answers], CALLER, release)
    expect(offered(having(answered('lamp-off', 'no')))).toContain('check/rest-voltage')
    for (const answers of [[answered('lamp-off', 'no'), answered('lamp-off', 'yes')], [answered('lamp-off', 'yes')]])
      expect(refusals(having(...answers)).get('check/rest-voltage')).toBe('wrong-earlier-result')
  })

  test('already asked are not offered again, whatever device the answer names', () => {
    const advice = ask([present('battery-low'), allRead, answered('lamp-off', 'dont-know', { device: 'hall' })])
    expect(offered(advice)).not.toContain('check/lamp-off')
  })

  test('of a danger sign are listed apart until answered', () => {
    expect(ask([present('battery-low')]).dangerQuestions).toEqual([5])
    expect(ask([present('battery-low'), answered('smell', 'no')]).dangerQuestions).toEqual([])
  })
})

describe('the plan', () => {
  test('cures a root before what it brings about', () => {
    const advice = ask([present('supply-missing'), present('battery-low'), answered('case-bulged', 'yes'), allRead])
    expect(planned(advice)).toEqual(['remedy/replace-supply', 'remedy/replace-battery'])
  })

  test('names the likely root of what a part is fitted for', () => {
    const advice = ask([present('supply-missing'), present('battery-low'), answered('case-bulged', 'yes'), allRead])
    expect(advice.plan[1]!.openRoots.map(({ cause }) => idOf(advice, cause))).toEqual(['cause/supply-dead'])
  })

  test('cures a chain of roots from its beginning', () => {
    const base = smallRelease()
    const causes = base.causes.map((one, at) => ({ ...one, rootOf: at === 1 ? [0] : at === 2 ? [1] : [] }))
    const remedies = [
      ...base.remedies.slice(0, 2),
      { ...base.remedies[0]!, id: 'remedy/other', fixes: [{ cause: 2, probability: 0.98 }], minutes: 30 },
    ]
    const release = smallRelease({ causes: causes.map((one) => ({ ...one, prior: 0.4 })), remedies })
    const findings = [present('supply-missing'), present('battery-low'), answered('case-bulged', 'yes'), allRead]
    const order = planned(
      ask([...findings, answered('rest-voltage', 'high'), answered('lamp-off', 'yes')], CALLER, release),
    )
    expect(order).toEqual(['remedy/other', 'remedy/replace-supply', 'remedy/replace-battery'])
  })

  test('clears more with each remedy', () => {
    const { plan } = ask([present('supply-missing'), present('battery-low'), answered('case-bulged', 'yes'), allRead])
    expect(plan[1]!.clearsProbability).toBeGreaterThan(plan[0]!.clearsProbability)
    expect(plan[1]!.clearsProbability).toBeLessThanOrEqual(1)
  })
})

test('the release and the findings are only read', () => {
  const release = deepFrozen(smallRelease())
  const findings = deepFrozen<Finding[]>([
    present('battery-low'),
    present('radio-low', { device: 'hall' }),
    holds('old-battery'),
    answered('lamp-off', 'no'),
    { kind: 'reading', reading: 'reading/rest-voltage', value: 11.9 },
    allRead,
  ])
  const first = ask(findings, CALLER, release)
  expect(JSON.stringify(ask(findings, CALLER, release))).toBe(JSON.stringify(first))
  expect(JSON.stringify(ask(findings, CALLER, smallRelease()))).toBe(JSON.stringify(first))
})

test('nothing known gives no stop, no cause and no plan', () => {
  const advice = ask([])
  expect([advice.stop, advice.causes, advice.plan]).toEqual([undefined, [], []])
})
