import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledCheck, CompiledRelease, CompiledRemedy, NotWith } from '../../../src/domain/advice/compiled.ts'
import { countedDevices } from '../../../src/domain/advice/device-count.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import { isKeptBack } from '../../../src/domain/advice/goes-with.ts'
import { repairedAlike } from '../../../src/domain/advice/search-state.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { absent, allRead, answered, holds, present, smallRelease, tried } from '../../support/small-release.ts'

const LIMITS = { who: 'technician', tools: ['multimeter'] } as const
const [LAMP, BULGED, NEAR] = [0, 1, 6]
const [REPLACE_BATTERY, REPLACE_CELL] = [0, 2]

const withCheck = (at: number, change: Partial<CompiledCheck>): CompiledRelease => {
  const base = smallRelease()
  return { ...base, checks: base.checks.map((one, index) => (index === at ? { ...one, ...change } : one)) }
}
const withRemedy = (at: number, change: Partial<CompiledRemedy>): CompiledRelease => {
  const base = smallRelease()
  return { ...base, remedies: base.remedies.map((one, index) => (index === at ? { ...one, ...change } : one)) }
}
const notWith = (change: Partial<NotWith>): { notWith: NotWith } => ({
  notWith: { contexts: [], conditions: [], answers: [], ...change },
})
const ask = (release: CompiledRelease, ...findings: Finding[]) => advise({ release, findings, limits: LIMITS })
const put = (release: CompiledRelease, check: number, ...findings: Finding[]) =>
  ask(release, ...findings).searched.checks.some((one) => one.check === check)
const planned = (release: CompiledRelease, remedy: number, ...findings: Finding[]) =>
  ask(release, ...findings).plan.find((one) => one.remedy === remedy)
const low = present('battery-low')

describe('a check is not put', () => {
  test('while a circumstance holds that it does not go with, and is while that is doubtful', () => {
    const release = withCheck(LAMP, notWith({ contexts: [4] }))
    expect(put(release, LAMP, low)).toBe(true)
    expect(put(release, LAMP, low, holds('hot-room'))).toBe(false)
    expect(put(release, LAMP, low, holds('hot-room', { reliability: 0.7 }))).toBe(true)
  })

  test('while a condition stands that it does not go with', () => {
    const release = withCheck(LAMP, notWith({ conditions: [1] }))
    expect(put(release, LAMP, low)).toBe(true)
    expect(put(release, LAMP, low, present('supply-missing'))).toBe(false)
    expect(put(release, LAMP, low, absent('supply-missing'))).toBe(
      put(smallRelease(), LAMP, low, absent('supply-missing')),
    )
  })

  test('once an answer was given that it does not go with', () => {
    const release = withCheck(LAMP, notWith({ answers: [{ check: BULGED, result: 'no' }] }))
    expect(put(release, LAMP, low, answered('case-bulged', 'no'))).toBe(false)
    expect(put(release, LAMP, low, answered('case-bulged', 'dont-know'))).toBe(true)
  })

  test('once a remedy was surely carried out that it does not go with', () => {
    const release = withCheck(LAMP, notWith({ remedies: [REPLACE_BATTERY] }))
    const { id } = release.remedies[REPLACE_BATTERY]!
    const done = tried(id.replace('remedy/', ''), 'no-change')
    expect(put(release, LAMP, low)).toBe(true)
    expect(put(smallRelease(), LAMP, low, done)).toBe(true)
    expect(put(release, LAMP, low, done)).toBe(false)
    expect(put(release, LAMP, low, { ...done, reliability: 0.7 })).toBe(true)
    expect(put(release, LAMP, low, { ...done, result: 'came-back' })).toBe(true)
  })

  test('of a device once a remedy was carried out on this device or on one that was not named, and is for another', () => {
    const release = withCheck(NEAR, notWith({ remedies: [REPLACE_CELL] }))
    const { id } = release.remedies[REPLACE_CELL]!
    const known = gather(release, [
      present('radio-low', { device: 'hall' }),
      present('radio-low', { device: 'attic' }),
      tried(id.replace('remedy/', ''), 'no-change', { device: 'hall' }),
    ])
    const isBack = (device: string) => isKeptBack(known, release.checks[NEAR]!, device)
    expect([isBack('hall'), isBack('attic')]).toEqual([true, false])
  })

  test('of a device while the condition stands on this device, and is for another', () => {
    const release = withCheck(NEAR, notWith({ conditions: [2] }))
    const known = gather(release, [present('radio-low', { device: 'hall' }), holds('hot-room')])
    const isBack = (device: string) => isKeptBack(known, release.checks[NEAR]!, device)
    expect([isBack('hall'), isBack('attic')]).toEqual([true, false])
  })

  test('to open the way for another either', () => {
    const base = withCheck(LAMP, notWith({ contexts: [4] }))
    const checks = base.checks.map((one, at) =>
      at === BULGED ? { ...one, requires: [{ check: LAMP, result: 'no' }] } : one,
    )
    const isPutFor = (...findings: Finding[]) =>
      ask({ ...base, checks }, low, ...findings).searched.checks.some(({ check }) => check === LAMP)
    expect(isPutFor()).toBe(true)
    expect(isPutFor(holds('hot-room'))).toBe(false)
  })
})

describe('a remedy is not planned', () => {
  test('with what it does not go with', () => {
    for (const [change, finding] of [
      [notWith({ contexts: [5] }), holds('new-paint', { reliability: 0.96 })],
      [notWith({ answers: [{ check: LAMP, result: 'no' }] }), answered('lamp-off', 'no')],
    ] as const) {
      const release = withRemedy(REPLACE_BATTERY, change)
      expect(planned(release, REPLACE_BATTERY, low)).toBeDefined()
      expect(planned(release, REPLACE_BATTERY, low, finding)).toBeUndefined()
    }
  })

  test('but while one of its conditions stands', () => {
    const release = withRemedy(REPLACE_BATTERY, { onlyWith: [1] })
    expect(planned(release, REPLACE_BATTERY, low)).toBeUndefined()
    expect(planned(release, REPLACE_BATTERY, low, present('supply-missing'))).toBeDefined()
  })

  test('for a device on which none of its conditions stands', () => {
    const base = withRemedy(REPLACE_CELL, { onlyWith: [2] })
    const advice = ask(
      base,
      present('radio-low', { device: 'hall' }),
      answered('radio-near', 'yes', { device: 'attic' }),
    )
    const { fixes } = advice.plan.find(({ remedy }) => remedy === REPLACE_CELL)!
    expect(fixes.map(({ cause }) => advice.known.instance.keys[cause]!.device)).toEqual(['hall'])
  })
})

test('what is repaired by remedies that have no place in the call is not told apart by them', () => {
  const base = smallRelease()
  const fixes = [0, 1].map((cause) => ({ cause, probability: 0.9 }))
  const both = { ...base.remedies[0]!, id: 'remedy/replace-both', fixes, minutes: 0.1 }
  const groupsWith = (change: Partial<CompiledRemedy>) => {
    const release = { ...base, remedies: [...base.remedies, { ...both, ...change }] }
    return repairedAlike(gather(release, [low]), new Set([0, 1]))
  }
  const surest = { fixes: fixes.map((fix) => ({ ...fix, probability: 0.99 })) }
  expect(groupsWith(surest)).toEqual([[0, 1]])
  expect(groupsWith({ ...surest, onlyWith: [1] })).toEqual([[0], [1]])
})

describe('a step that needs one of several answers', () => {
  const any = { requiresAny: [LAMP, BULGED].map((check) => ({ check, result: 'yes' })) }
  const permitAfter = (...findings: Finding[]) =>
    planned(withRemedy(REPLACE_BATTERY, any), REPLACE_BATTERY, low, holds('old-battery'), ...findings)!.permit

  test('is allowed with any of them', () => {
    expect(permitAfter(answered('case-bulged', 'yes'))).toEqual({ verdict: 'allowed' })
    expect(permitAfter(answered('case-bulged', 'yes'), answered('lamp-off', 'no'))).toEqual({ verdict: 'allowed' })
  })

  test('waits for the first that is not answered, is refused while the last is not known, and leaves the plan when none is left', () => {
    expect(permitAfter()).toEqual({ verdict: 'after', check: LAMP })
    expect(permitAfter(answered('lamp-off', 'no'))).toEqual({ verdict: 'after', check: BULGED })
    expect(permitAfter(answered('lamp-off', 'no'), answered('case-bulged', 'dont-know'))).toMatchObject({
      verdict: 'refused',
      reason: 'wrong-earlier-result',
    })
    const none = [low, holds('old-battery'), answered('lamp-off', 'no'), answered('case-bulged', 'no')]
    expect(planned(withRemedy(REPLACE_BATTERY, any), REPLACE_BATTERY, ...none)).toBeUndefined()
  })

  test('passes over an answer that cannot be had: for want of a tool, of a sense, or of what it needs itself', () => {
    const waitsFor = (
      lamp: Partial<CompiledCheck>,
      bulged: Partial<CompiledCheck> = {},
      lackingSenses: NonNullable<Limits['lackingSenses']> = [],
    ) => {
      const { checks, ...release } = withRemedy(REPLACE_BATTERY, any)
      const changed = checks.map((one, at) => ({ ...one, ...(at === LAMP ? lamp : at === BULGED ? bulged : {}) }))
      const findings = [low, holds('old-battery'), answered('ask-on-test', 'no')]
      const { plan } = advise({
        release: { ...release, checks: changed },
        findings,
        limits: { ...LIMITS, lackingSenses },
      })
      const { permit } = plan.find(({ remedy }) => remedy === REPLACE_BATTERY)!
      return permit.verdict === 'after' ? permit.check : permit.verdict
    }
    const needing = (check: number) => ({ requires: [{ check, result: 'yes' }] })
    expect(waitsFor({})).toBe(LAMP)
    expect(waitsFor({ tools: ['multimeter'] })).toBe(LAMP)
    expect(waitsFor({ tools: ['bench'] })).toBe(BULGED)
    expect(waitsFor({ senses: ['hearing'] }, {}, ['hearing'])).toBe(BULGED)
    expect(waitsFor(needing(NEAR))).toBe(LAMP)
    expect(waitsFor(needing(3))).toBe(BULGED)
    expect(waitsFor(needing(LAMP))).toBe(BULGED)
    expect(waitsFor({ tools: ['bench'] }, { tools: ['bench'] })).toBe(LAMP)
  })

  test('needs all that it requires besides', () => {
    const release = withRemedy(REPLACE_BATTERY, { ...any, requires: [{ check: 3, result: 'yes' }] })
    const permit = (...findings: Finding[]) =>
      planned(release, REPLACE_BATTERY, low, holds('old-battery'), answered('case-bulged', 'yes'), ...findings)!.permit
    expect(permit()).toEqual({ verdict: 'after', check: 3 })
    expect(permit(answered('ask-on-test', 'yes'))).toEqual({ verdict: 'allowed' })
    expect(permit(holds('on-test'))).toEqual({ verdict: 'allowed' })
  })
})

describe('how many devices show it', () => {
  const base = smallRelease()
  const release: CompiledRelease = {
    ...base,
    contexts: [
      ...base.contexts,
      { id: 'context/one-device', dimension: 'count', share: 0.75, shifts: [] },
      { id: 'context/several-devices', dimension: 'count', share: 0.25, shifts: [{ cause: 4, factor: 3 }] },
    ],
  }
  const counted = (...findings: Finding[]) => {
    const { contexts } = gather(release, findings)
    return [...contexts.keys()].map((context) => release.contexts[context]!.id)
  }
  const lowIn = (device: string) => present('radio-low', { device })

  test('is several where two are listed, though the list has not been read to its end', () => {
    expect(counted(lowIn('hall'), lowIn('attic'))).toEqual(['context/several-devices'])
    expect(counted(lowIn('hall'), present('radio-low'), lowIn('attic'))).toEqual(['context/several-devices'])
  })

  test('is one where the whole list has one', () => {
    expect(counted(lowIn('hall'), allRead)).toEqual(['context/one-device'])
    expect(counted(lowIn('hall'))).toEqual([])
  })

  test('is not known of a device that was not named, nor without any', () => {
    expect(counted(present('radio-low'), allRead)).toEqual([])
    expect(counted(present('battery-low'), allRead)).toEqual([])
    expect(countedDevices(gather(smallRelease(), [lowIn('hall'), allRead]))).toBeUndefined()
  })

  test('is named as a contradiction where somebody says otherwise, and the list counts', () => {
    const known = gather(release, [lowIn('hall'), lowIn('attic'), holds('one-device')])
    expect([...known.contexts.keys()].map((context) => release.contexts[context]!.id)).toEqual([
      'context/several-devices',
    ])
    expect(known.contradictions).toMatchObject([{ about: 'context/several-devices' }])
  })
})
