import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledCause, CompiledRelease, CompiledRemedy } from '../../../src/domain/advice/compiled.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { allRead, answered, holds, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const ask = (release: CompiledRelease, findings: readonly Finding[], limits = CALLER) =>
  advise({ release, findings, limits })
const planned = ({ known, plan }: Advice) => plan.map(({ remedy }) => known.instance.release.remedies[remedy]!.id)

const base = smallRelease()
const [worn, dead, , radioCell, damp] = base.causes
const [replaceBattery, replaceSupply] = base.remedies
const chance = (share: number) => [1 - share, share]

/** Causes 0 to 2 are those of a battery, a supply and a clock; each brings about its own condition. */
function powerRelease(change: Partial<CompiledRelease> = {}, supply: Partial<CompiledCause> = {}): CompiledRelease {
  const clock: CompiledCause = { ...worn!, id: 'cause/clock-lost', family: 'clock-and-configuration' }
  return smallRelease({
    causes: [
      { ...worn!, family: 'storage-battery' },
      { ...dead!, family: 'power', rootOf: [2], ...supply },
      clock,
      radioCell!,
      damp!,
    ],
    effects: [
      { ...base.effects[0]!, links: [{ cause: 0, levels: chance(0.9) }] },
      { ...base.effects[1]!, links: [{ cause: 1, levels: chance(0.95) }] },
      ...base.effects.slice(2),
      {
        id: 'condition/clock-unset',
        isPerDevice: false,
        leak: chance(0.001),
        links: [{ cause: 2, levels: chance(0.9) }],
      },
    ],
    conditions: [
      ...base.conditions,
      { ...base.conditions[0]!, id: 'condition/clock-unset', effect: base.effects.length },
    ],
    remedies: [
      { ...replaceBattery!, id: 'remedy/set-clock', fixes: [{ cause: 2, probability: 0.98 }], partClasses: [] },
      replaceBattery!,
      replaceSupply!,
    ],
    ...change,
  })
}
const ALL_THREE = [present('clock-unset'), present('battery-low'), present('supply-missing'), allRead]

describe('the order of a plan', () => {
  test('puts right the supply, then the battery, then the clock, however dear the supply is', () => {
    const order = ['remedy/replace-supply', 'remedy/replace-battery', 'remedy/set-clock']
    expect(planned(ask(powerRelease(), ALL_THREE))).toEqual(order)
  })

  test('leaves a clock alone that no lost supply unsets', () => {
    const order = planned(ask(powerRelease({}, { rootOf: [] }), ALL_THREE))
    expect(order).toEqual(['remedy/set-clock', 'remedy/replace-supply', 'remedy/replace-battery'])
  })

  test('goes by cost for each clearing where the families have no order', () => {
    const release = powerRelease()
    const causes = release.causes.map((one) => ({ ...one, family: 'family/small', rootOf: [] }))
    expect(planned(ask({ ...release, causes }, ALL_THREE)).at(-1)).toBe('remedy/replace-supply')
  })

  test('keeps roots first, even a battery that is the root of a supply', () => {
    const release = powerRelease()
    const causes = release.causes.map((one, at) => (at === 0 ? { ...one, rootOf: [1] } : one))
    const order = planned(ask({ ...release, causes }, ALL_THREE))
    expect(order.indexOf('remedy/replace-battery')).toBeLessThan(order.indexOf('remedy/replace-supply'))
  })

  describe('when a supply can only clear what the battery clears', () => {
    const rival = powerRelease()
    const effects = rival.effects.map((one, at) =>
      at === 0 ? { ...one, links: [...one.links, { cause: 1, levels: chance(0.7) }] } : one,
    )
    const findings = [present('battery-low')]
    const having = (cost: Partial<CompiledRemedy>) => {
      const remedies = rival.remedies.map((one, at) => (at === 2 ? { ...one, ...cost } : one))
      return planned(ask({ ...rival, effects, remedies }, findings))
    }

    test('puts a dearer one after the battery', () => {
      expect(having({ minutes: 60, cost: 'visit' })).toEqual(['remedy/replace-battery', 'remedy/replace-supply'])
    })

    test('puts one that costs no more before the battery', () => {
      expect(having({ minutes: 1, cost: 'none' })).toEqual(['remedy/replace-supply', 'remedy/replace-battery'])
    })
  })
})

/** One condition for each entry; each brought about by so many causes, each with a remedy of its own. */
function wideRelease(
  conditions: readonly { causes: number; severity?: 'life-safety' | 'degraded'; minutes?: number }[],
) {
  const rows = conditions.flatMap(({ causes, minutes = 1 }, condition) =>
    Array.from({ length: causes }, () => ({ condition, minutes })),
  )
  return smallRelease({
    causes: rows.map((_, at) => ({ ...worn!, id: `cause/c${at}`, prior: 0.02 })),
    effects: conditions.map((_, condition) => ({
      id: `condition/k${condition}`,
      isPerDevice: false,
      leak: chance(0.0001),
      links: rows.flatMap((row, cause) => (row.condition === condition ? [{ cause, levels: chance(0.9) }] : [])),
    })),
    conditions: conditions.map(({ severity = 'degraded' }, condition) => ({
      ...base.conditions[0]!,
      id: `condition/k${condition}`,
      severity,
      effect: condition,
    })),
    contexts: [],
    readings: [],
    checks: [],
    gates: [],
    hazards: [],
    remedies: rows.map(({ minutes }, cause) => ({
      ...replaceBattery!,
      id: `remedy/r${cause}`,
      minutes,
      fixes: [{ cause, probability: 0.95 }],
    })),
  })
}
const standing = (count: number) => Array.from({ length: count }, (_, at) => present(`k${at}`))

describe('the places of a plan', () => {
  test('leave one for a condition whose only remedy is dear', () => {
    const release = wideRelease([{ causes: 8 }, { causes: 1, minutes: 500 }])
    const order = planned(ask(release, standing(2)))
    expect(order).toHaveLength(6)
    expect(order).toContain('remedy/r8')
  })

  test('all go to the cheap ones while nothing else stands', () => {
    const release = wideRelease([{ causes: 8 }, { causes: 1, minutes: 500 }])
    expect(planned(ask(release, standing(1)))).not.toContain('remedy/r8')
  })

  test('go to the worst loss where there are more conditions than places, in whatever order they were found', () => {
    const row = (severity: 'life-safety' | 'degraded') => ({
      causes: 1,
      severity,
      minutes: severity === 'degraded' ? 1 : 90,
    })
    const release = wideRelease([
      ...Array.from({ length: 4 }, () => row('degraded')),
      ...Array.from({ length: 5 }, () => row('life-safety')),
    ])
    const grave = ['remedy/r4', 'remedy/r5', 'remedy/r6', 'remedy/r7', 'remedy/r8']
    for (const findings of [standing(9), standing(9).toReversed()]) {
      const order = planned(ask(release, findings))
      expect(order).toHaveLength(6)
      expect(order).toEqual(expect.arrayContaining(grave))
    }
  })
})

describe('a step beyond the person at the site', () => {
  const twoWays = (minutes: number) => {
    const [first] = wideRelease([{ causes: 1 }]).remedies
    return {
      ...wideRelease([{ causes: 1 }]),
      remedies: [
        { ...first!, id: 'remedy/by-technician', who: 'technician' as const },
        { ...first!, id: 'remedy/by-caller', minutes },
      ],
    }
  }

  test('comes after an own act of the same rate', () => {
    expect(planned(ask(twoWays(1), standing(1)))[0]).toBe('remedy/by-caller')
    expect(planned(ask(twoWays(1), standing(1), { who: 'technician', tools: [] }))[0]).toBe('remedy/by-technician')
  })

  test('comes after an own act that takes longer: nobody waits for a visit with what can be tried now', () => {
    expect(planned(ask(twoWays(30), standing(1)))[0]).toBe('remedy/by-caller')
    const { remedies, ...release } = twoWays(30)
    const paid = remedies.map((one, at) => (at === 0 ? one : { ...one, cost: 'medium' as const }))
    expect(planned(ask({ ...release, remedies: paid }, standing(1)))[0]).toBe('remedy/by-technician')
  })

  test('counts as a visit: skill, and a gate that is closed', () => {
    const findings = [present('battery-low'), allRead]
    const having = (change: Partial<CompiledRemedy>, more: readonly Finding[] = [], limits = CALLER) => {
      const remedies = base.remedies.map((one) => ({ ...one, ...change }))
      return ask(smallRelease({ remedies }), [...findings, ...more], limits).cost.visitProbability
    }
    expect(having({ who: 'caller' })).toBe(0)
    expect(having({ who: 'handy' })).toBe(1)
    expect(having({ who: 'handy' }, [], { ...CALLER, who: 'handy' })).toBe(0)
    expect(having({ disturbs: ['cover'] }, [holds('on-test')])).toBe(0)
    expect(having({ disturbs: ['cover'] }, [answered('ask-on-test', 'no')])).toBe(1)
    expect(having({ tools: ['bench'] })).toBe(0)
  })
})

describe('a plan whose likely remedy only waits for a question', () => {
  const SMELL = 5
  const waiting = (change: Partial<CompiledRemedy>, checks: Partial<CompiledRelease> = {}) =>
    smallRelease({ ...checks, remedies: base.remedies.map((one, at) => (at === 0 ? { ...one, ...change } : one)) })
  const findings = [present('battery-low'), answered('case-bulged', 'yes'), allRead]
  const openers = ({ searched }: Advice) => searched.checks.filter(({ why }) => why === 'opens-the-plan')
  const afterSmell = waiting({ requires: [{ check: SMELL, result: 'no' }] })

  test('puts a danger question first, and stops all the same', () => {
    const advice = ask(afterSmell, findings)
    expect(advice.searched.checks[0]).toMatchObject({ check: SMELL, why: 'opens-the-plan', opensRemedy: 0 })
    expect(advice.stop).toBe(ask(smallRelease(), findings).stop)
    expect(advice.stop).toBe('confident')
  })

  test('has no such question once it was put, whatever came of it', () => {
    expect(openers(ask(afterSmell, [...findings, answered('smell', 'no')]))).toEqual([])
    expect(openers(ask(afterSmell, [...findings, answered('smell', 'dont-know')]))).toEqual([])
    expect(ask(afterSmell, [...findings, answered('smell', 'yes')]).searched.checks).toEqual([])
  })

  test('asks the question of a gate', () => {
    const [opener] = openers(ask(waiting({ disturbs: ['cover'] }), findings))
    expect(base.checks[opener!.check]!.id).toBe('check/ask-on-test')
  })

  test('asks the innermost question of a chain', () => {
    const checks = base.checks.map((one, at) =>
      at === 0 ? { ...one, requires: [{ check: SMELL, result: 'no' }] } : one,
    )
    const release = waiting({ requires: [{ check: 0, result: 'no' }] }, { checks })
    expect(openers(ask(release, findings)).map(({ check }) => check)).toEqual([SMELL])
  })

  test('asks nothing that the caller has not the senses for, or that is beyond the caller', () => {
    const blind = { ...CALLER, lackingSenses: ['smell' as const] }
    const having = (change: object) => base.checks.map((one, at) => (at === SMELL ? { ...one, ...change } : one))
    const release = (change: object) => ({ ...afterSmell, checks: having(change) })
    expect(openers(ask(release({ senses: ['smell'] }), findings, blind))).toEqual([])
    expect(openers(ask(release({ who: 'technician' }), findings))).toEqual([])
    expect(openers(ask(release({ senses: ['smell'] }), findings))).toHaveLength(1)
  })

  test('names a question once that is among the next checks already', () => {
    const release = waiting({ requires: [{ check: 0, result: 'no' }] })
    const { checks } = ask(release, [present('battery-low')]).searched
    const own = checks.filter(({ check }) => check === 0)
    expect(own).toHaveLength(1)
    expect(own[0]).toMatchObject({ why: 'opens-the-plan', opensRemedy: 0 })
    expect(own[0]!.gainBits).toBeGreaterThan(0)
  })

  test('waits for the answer about the device that it is for', () => {
    const release = smallRelease({
      remedies: [{ ...base.remedies[2]!, requires: [{ check: 6, result: 'yes' }] }],
    })
    const low = [present('radio-low', { device: 'hall' }), allRead]
    expect(openers(ask(release, low))).toMatchObject([{ check: 6, device: 'hall' }])
    const told = ask(release, [...low, answered('radio-near', 'yes', { device: 'hall' })])
    expect(told.plan[0]!.permit).toEqual({ verdict: 'allowed' })
    expect(openers(told)).toEqual([])
  })

  test('puts the questions of two dangers one after the other, though each comes before every step', () => {
    const more = { ...base.checks[SMELL]!, id: 'check/smoke' }
    const conditions = base.conditions.map((one) => ({ ...one, askFirst: [SMELL, base.checks.length] }))
    const release = smallRelease({ checks: [...base.checks, more], conditions })
    const asked = (...answers: Finding[]) => openers(ask(release, [...findings, ...answers])).map(({ check }) => check)
    expect(asked()).toEqual([SMELL])
    expect(asked(answered('smell', 'no'))).toEqual([base.checks.length])
    const told = ask(release, [...findings, answered('smell', 'no'), answered('smoke', 'no')])
    expect(told.plan[0]!.permit).toEqual({ verdict: 'allowed' })
  })
})
