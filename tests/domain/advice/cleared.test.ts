import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { absent, allRead, answered, EFFECT, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const base = smallRelease()
const [LOW, RADIO] = [0, 2]
const [LAMP, SMELL, NEAR] = [0, 5, 6]

/** The small release: a lit lamp clears the low battery, a radio device that is heard nearby clears its own item. */
function clearing(change: (release: CompiledRelease) => void = () => {}): CompiledRelease {
  const release = smallRelease()
  release.checks[LAMP] = { ...base.checks[LAMP]!, clears: { no: [LOW] } }
  const heard = release.effects.push({ ...base.effects[2]!, id: 'check/radio-near' }) - 1
  const model = { kind: 'observation' as const, effect: heard, levels: ['no', 'yes'] }
  release.checks[NEAR] = { ...base.checks[NEAR]!, model, clears: { no: [RADIO] } }
  change(release)
  return release
}
const low = present('battery-low')
const lit = answered('lamp-off', 'no')
const known = (...findings: Finding[]) => gather(clearing(), findings)
const standing = (...findings: Finding[]) => known(...findings).present.map(({ effect }) => effect)
const ask = (findings: readonly Finding[], release = clearing()) => advise({ release, findings, limits: CALLER })

describe('a condition that an answer clears', () => {
  test('no longer stands, and what reported it and the answer are named', () => {
    const { present: left, cleared, unused } = known(allRead, low, lit)
    expect(left).toEqual([])
    expect(cleared).toEqual([{ condition: LOW, effect: EFFECT.batteryLow, findings: [1], by: [2] }])
    expect(unused).toEqual([])
  })

  test('still tells what was behind it, exactly as without the clearing', () => {
    const one = ask([low, present('supply-missing'), lit])
    const other = ask([low, present('supply-missing'), lit], smallRelease())
    expect(one.posterior).toEqual(other.posterior)
    expect(one.known.evidence).toEqual(other.known.evidence)
  })

  test('calls for no remedy, and another that stands does', () => {
    const fixed = ({ plan }: Advice) => plan.flatMap(({ fixes }) => fixes.map(({ cause }) => cause))
    const { conditions } = base
    expect(conditions.map(({ id }) => id)[LOW]).toBe('condition/battery-low')
    expect(fixed(ask([low, present('radio-low'), lit]))).toEqual([3])
    expect(fixed(ask([low, present('radio-low')]))).toContain(0)
  })

  test('stands on after any other answer, a doubtful one, one of the past and one that is disputed', () => {
    const doubtful = { ...lit, reliability: 0.9 }
    const past: Finding = { ...lit, tense: 'earlier' }
    for (const answer of [answered('lamp-off', 'yes'), answered('lamp-off', 'dont-know'), doubtful, past])
      expect(standing(low, answer)).toEqual([EFFECT.batteryLow])
    expect(standing(low, lit, answered('lamp-off', 'yes'))).toEqual([EFFECT.batteryLow])
  })

  test('stands again once it is reported at a later time', () => {
    const at = (observedMs: number) => ({ observedMs })
    expect(standing({ ...low, ...at(1) }, { ...lit, ...at(2) })).toEqual([])
    expect(standing({ ...low, ...at(2) }, { ...lit, ...at(2) })).toEqual([])
    expect(standing({ ...low, ...at(3) }, { ...lit, ...at(2) })).toEqual([EFFECT.batteryLow])
    expect(standing({ ...low, ...at(1) }, { ...low, ...at(3) }, { ...lit, ...at(2) })).toEqual([EFFECT.batteryLow])
  })

  test('is cleared on whichever device by an answer to a question of the system', () => {
    const release = clearing((one) => {
      one.checks[LAMP] = { ...one.checks[LAMP]!, clears: { no: [RADIO] } }
    })
    const hall = present('radio-low', { device: 'hall' })
    expect(gather(release, [hall, lit]).cleared).toMatchObject([{ device: 'hall' }])
  })

  test('is cleared on the device that the answer is about, and on no other', () => {
    const hall = present('radio-low', { device: 'hall' })
    const attic = present('radio-low', { device: 'attic' })
    const { present: left, cleared } = known(hall, attic, answered('radio-near', 'no', { device: 'hall' }))
    expect([left.map(({ device }) => device), cleared.map(({ device }) => device)]).toEqual([['attic'], ['hall']])
    const unnamed = answered('radio-near', 'no')
    expect(known(present('radio-low'), hall, unnamed).cleared).toMatchObject([{ device: 'hall', findings: [0, 1] }])
    expect(known(hall, attic, unnamed).cleared).toEqual([])
  })

  test('is none where it was denied', () => {
    expect(known(absent('battery-low'), lit).cleared).toEqual([])
  })
})

describe('a call in which all that was reported has cleared', () => {
  test('is over: nothing is asked or planned any more', () => {
    const { stop, searched, plan, causes } = ask([allRead, low, lit])
    expect([stop, searched.checks, plan]).toEqual(['no-useful-check', [], []])
    expect(causes.length).toBeGreaterThan(0)
  })

  test('goes on while the display holds more', () => {
    const { stop, searched } = ask([{ kind: 'screen', complete: false }, low, lit])
    expect([stop, searched.checks.map(({ why }) => why)]).toEqual([undefined, ['open-the-display-first']])
  })

  test('goes on while a danger that it called for is open', () => {
    const release = clearing((one) => {
      one.conditions[LOW] = { ...one.conditions[LOW]!, askFirst: [SMELL] }
    })
    expect(ask([allRead, low, lit], release).stop).toBeUndefined()
    expect(ask([allRead, low, lit, answered('smell', 'no')], release).stop).toBe('no-useful-check')
  })

  test('is not over where nothing was reported to begin with', () => {
    expect(ask([allRead, lit]).stop).toBeUndefined()
  })
})

describe('a threat to life', () => {
  test('is never cleared, whatever a release says', () => {
    const release = clearing((one) => {
      one.conditions[LOW] = { ...one.conditions[LOW]!, severity: 'life-safety' }
    })
    expect(gather(release, [low, lit]).cleared).toEqual([])
  })

  test('that a condition brings with it stops the call although an answer clears the condition', () => {
    const release = clearing((one) => {
      one.hazards[1] = { id: 'hazard/fire', stopIf: [6] }
      one.conditions[LOW] = { ...one.conditions[LOW]!, implies: [6] }
    })
    const advice = ask([low, lit], release)
    expect([advice.stop, advice.known.cleared]).toEqual(['danger', []])
  })
})

test('what clears is the same in whatever order findings come', () => {
  const all: Finding[] = [
    ...[low, { ...low, observedMs: 5 }, present('supply-missing'), lit, { ...lit, observedMs: 4 }, allRead],
    ...[
      present('radio-low', { device: 'hall' }),
      answered('radio-near', 'no', { device: 'hall' }),
      absent('radio-low'),
    ],
  ]
  const summary = (findings: readonly Finding[]) => {
    const said = (list: readonly number[]) => list.map((at) => JSON.stringify(findings[at])).sort()
    return gather(clearing(), findings)
      .cleared.map(({ effect, findings: reports, by }) => [effect, said(reports), said(by)])
      .sort()
  }
  let cleared = 0
  fc.assert(
    fc.property(
      fc
        .subarray(all)
        .chain((some) => fc.tuple(fc.constant(some), fc.shuffledSubarray(some, { minLength: some.length }))),
      ([some, shuffled]) => {
        expect(summary(shuffled)).toEqual(summary(some))
        cleared += summary(some).length
      },
    ),
  )
  expect(cleared).toBeGreaterThan(0)
})
