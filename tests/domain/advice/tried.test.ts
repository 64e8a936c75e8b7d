import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import { dangersToRuleOut } from '../../../src/domain/advice/gathered.ts'
import { DomainError } from '../../../src/domain/errors.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { absent, allRead, answered, CAUSE, holds, present, smallRelease, tried } from '../../support/small-release.ts'

const release = smallRelease()
const LIMITS = { who: 'technician', tools: ['multimeter'] } as const
const ask = (...findings: Finding[]) => advise({ release, findings, limits: LIMITS })
const posteriorOf = (...findings: Finding[]) => [...ask(...findings).posterior]
const low = present('battery-low')
const inVain = tried('replace-battery', 'no-change')

/** Probability of a cause of a device, named or not. */
const of = ({ posterior, known }: ReturnType<typeof ask>, cause: number, device?: string) =>
  posterior[known.instance.keys.findIndex((key) => key.cause === cause && key.device === device)]!
const planned = ({ plan, known }: ReturnType<typeof ask>) =>
  plan.flatMap(({ remedy, fixes }) =>
    fixes.map(({ cause }) => `${release.remedies[remedy]!.id} ${known.instance.keys[cause]!.device ?? ''}`.trim()),
  )

describe('a remedy in vain', () => {
  test('speaks against what it removes, and for the rivals', () => {
    const [before, after] = [posteriorOf(low), posteriorOf(low, inVain)]
    expect(after[CAUSE.batteryWorn]!).toBeLessThan(0.2 * before[CAUSE.batteryWorn]!)
    expect(after[CAUSE.supplyDead]!).toBeGreaterThan(before[CAUSE.supplyDead]!)
  })

  test('counts less the less sure it is that it was done', () => {
    const worn = [0.5, 0.7, 0.9, 1].map(
      (reliability) => posteriorOf(low, { ...inVain, reliability })[CAUSE.batteryWorn]!,
    )
    expect(worn).toEqual(worn.toSorted((a, b) => b - a))
    expect(worn[0]!).toBeLessThan(posteriorOf(low)[CAUSE.batteryWorn]!)
  })

  test('counts once, by the surest, however often it is told', () => {
    expect(posteriorOf(low, inVain, inVain)).toEqual(posteriorOf(low, inVain))
    expect(posteriorOf(low, { ...inVain, reliability: 0.7 }, inVain)).toEqual(posteriorOf(low, inVain))
  })

  test('gives the same answer wherever it stands among the findings', () => {
    const findings = [
      low,
      present('radio-low', { device: 'hall' }),
      inVain,
      tried('replace-radio-cell', 'no-change', { device: 'hall', reliability: 0.8 }),
      tried('replace-supply', 'came-back'),
      holds('old-battery'),
      answered('lamp-off', 'yes'),
    ]
    const expected = posteriorOf(...findings)
    fc.assert(
      fc.property(fc.shuffledSubarray(findings, { minLength: findings.length }), (list) => {
        expect(posteriorOf(...list)).toEqual(expected)
      }),
      { numRuns: 20 },
    )
  })

  test('of the past, run out or replaced by a newer report is set aside', () => {
    const plain = posteriorOf(low)
    for (const gone of [{ tense: 'earlier' }, { untilMs: 5 }] as const) {
      const { posterior, known } = advise({
        release,
        findings: [low, { ...inVain, ...gone }],
        limits: { ...LIMITS, nowMs: 9 },
      })
      expect([[...posterior], known.unused]).toEqual([plain, [1]])
    }
    const newer = [low, { ...inVain, observedMs: 1 }, tried('replace-battery', 'came-back', { observedMs: 2 })]
    expect([posteriorOf(...newer), ask(...newer).known.unused]).toEqual([plain, [1, 2]])
  })

  test('that is also said to have cleared it contradicts itself, and neither counts', () => {
    const { known, posterior } = ask(low, inVain, tried('replace-battery', 'cleared'))
    expect(known.contradictions).toEqual([{ findings: [1, 2], about: 'remedy/replace-battery' }])
    expect([...posterior]).toEqual(posteriorOf(low))
  })

  test('with an id that the release does not have is refused at its field', () => {
    const refusal = () => {
      try {
        ask(low, tried('kick-it', 'no-change'))
      } catch (error) {
        return error as DomainError
      }
      return undefined
    }
    expect(refusal()).toBeInstanceOf(DomainError)
    expect(refusal()).toMatchObject({
      code: 'UNKNOWN_ID',
      detail: { path: '/findings/1/remedy', value: 'remedy/kick-it' },
    })
  })
})

describe('a remedy on a device', () => {
  const cell = (device?: string) => tried('replace-radio-cell', 'no-change', device === undefined ? {} : { device })
  const lowIn = (device: string) => present('radio-low', { device })
  const both = [lowIn('hall'), lowIn('attic'), allRead]

  test('speaks against the causes of this device and of no other', () => {
    const [before, after] = [ask(...both), ask(...both, cell('hall'))]
    expect(of(after, CAUSE.radioCell, 'hall')).toBeLessThan(0.2 * of(before, CAUSE.radioCell, 'hall'))
    expect(of(after, CAUSE.radioCell, 'attic')).toBeCloseTo(of(before, CAUSE.radioCell, 'attic'), 12)
  })

  test('that names none is about the only one, about each where all were named, and about the one that was not', () => {
    expect(posteriorOf(lowIn('hall'), cell())).toEqual(posteriorOf(lowIn('hall'), cell('hall')))
    expect(posteriorOf(...both, cell())).toEqual(posteriorOf(...both, cell('hall'), cell('attic')))
    const unnamed = [present('radio-low'), lowIn('attic'), present('battery-low', { device: 'hall' })] as const
    expect(of(ask(...unnamed, cell()), CAUSE.radioCell, 'hall')).toBe(of(ask(...unnamed), CAUSE.radioCell, 'hall'))
    const [before, after] = [ask(present('radio-low')), ask(present('radio-low'), cell())]
    expect(of(after, CAUSE.radioCell)).toBeLessThan(0.2 * of(before, CAUSE.radioCell))
  })

  test('speaks against a cause of the whole system whichever device it names', () => {
    expect(of(ask(low, { ...inVain, device: 'hall' }), CAUSE.batteryWorn)).toBeCloseTo(
      of(ask(low, inVain), CAUSE.batteryWorn),
      12,
    )
  })

  test('is planned for the others and no more for this one', () => {
    expect(planned(ask(...both))).toEqual(
      expect.arrayContaining(['hall', 'attic'].map((at) => `remedy/replace-radio-cell ${at}`)),
    )
    const done = ask(...both, cell('hall'))
    expect(planned(done)).toContain('remedy/replace-radio-cell attic')
    expect(planned(done)).not.toContain('remedy/replace-radio-cell hall')
  })
})

describe('the plan', () => {
  test('offers no more what was surely done in vain, and does what may not have been done', () => {
    const told = [low, answered('case-bulged', 'yes'), holds('old-battery')]
    const offered = (...more: Finding[]) => planned(ask(...told, ...more)).includes('remedy/replace-battery')
    expect([offered(), offered(inVain), offered({ ...inVain, reliability: 0.8 })]).toEqual([true, false, true])
  })

  test('offers again what did something and came back', () => {
    const told = [low, answered('case-bulged', 'yes'), tried('replace-battery', 'came-back')]
    expect(planned(ask(...told))).toContain('remedy/replace-battery')
  })

  test('and the stop go on as for a cause that no remedy removes', () => {
    const told = [low, absent('supply-missing'), allRead, answered('case-bulged', 'yes'), holds('old-battery')]
    const without: CompiledRelease = { ...release, remedies: release.remedies.slice(1) }
    const bare = advise({ release: without, findings: told, limits: LIMITS })
    const done = ask(...told, inVain)
    expect(ask(...told).stop).toBe('confident')
    expect(of(done, CAUSE.batteryWorn)).toBeGreaterThan(0.5)
    expect([done.stop, planned(done)]).toEqual([bare.stop, []])
  })
})

describe('a remedy that came back after a while', () => {
  test('did something: it moves nothing and is set aside', () => {
    const { posterior, known } = ask(low, tried('replace-battery', 'came-back'))
    expect([[...posterior], known.unused]).toEqual([posteriorOf(low), [1]])
  })
})

test('a remedy that came back counts for half of what it does, and for all of it while that is doubtful', () => {
  const successOf = (...findings: Finding[]) =>
    ask(low, ...findings).plan.find(({ remedy }) => remedy === 0)!.fixes[0]!.success
  const back = tried('replace-battery', 'came-back')
  expect(successOf(back)).toBeCloseTo(0.5 * successOf(), 12)
  expect(successOf({ ...back, reliability: 0.8 })).toBe(successOf())
})

test('what follows from what came of a remedy is entered, and the report is not set aside then', () => {
  const remedies = release.remedies.map((one, at) =>
    at === 0 ? { ...one, follows: { 'came-back': { implies: [3] } } } : one,
  )
  const known = gather({ ...release, remedies }, [low, tried('replace-battery', 'came-back')])
  expect([[...known.contexts], known.unused]).toEqual([[[3, 1]], []])
  expect(gather({ ...release, remedies }, [low, inVain]).contexts.size).toBe(0)
})

describe('a remedy that cleared the trouble', () => {
  const cleared = tried('replace-battery', 'cleared')

  test('ends the conditions that it clears, and leaves the others', () => {
    const { known } = ask(low, present('supply-missing'), cleared)
    expect(known.present.map(({ condition }) => release.conditions[condition]!.id)).toEqual([
      'condition/supply-missing',
    ])
    expect(known.unused).toEqual([0])
  })

  test('has removed as much of its causes as one in vain', () => {
    expect(of(ask(cleared), CAUSE.batteryWorn)).toBeCloseTo((1 - 0.98) * 0.05, 12)
    expect(posteriorOf(cleared)).toEqual(posteriorOf(inVain))
  })

  test('does not end a condition that was seen later: it is back, and says nothing more', () => {
    const back = [present('battery-low', { observedMs: 2 }), { ...cleared, observedMs: 1 }]
    const { known, posterior } = ask(...back)
    expect([known.present.length, known.unused]).toEqual([1, [1]])
    expect([...posterior]).toEqual(posteriorOf(low))
  })

  test('ends one that was seen before, on its device', () => {
    const seen = (device: string) => present('radio-low', { device, observedMs: 1 })
    const cell = tried('replace-radio-cell', 'cleared', { device: 'hall', observedMs: 2 })
    expect(ask(seen('hall'), seen('attic'), cell).known.present.map(({ device }) => device)).toEqual(['attic'])
  })

  test('is named with them, and the call is over once nothing else stands', () => {
    const { known, searched, stop } = ask(low, cleared)
    expect(known.cleared).toMatchObject([{ condition: 0, findings: [0], by: [1] }])
    expect([searched.checks, stop]).toEqual([[], 'no-useful-check'])
    expect(ask(low, present('supply-missing'), cleared).stop).toBe(ask(present('supply-missing'), cleared).stop)
  })

  test('ends nothing while that is in doubt', () => {
    const { known, posterior } = ask(low, { ...cleared, reliability: 0.8 })
    expect([known.present.length, known.unused]).toEqual([1, [1]])
    expect([...posterior]).toEqual(posteriorOf(low))
  })

  test('leaves the question of a danger to be put all the same', () => {
    const SMELL = 5
    const conditions = release.conditions.map((one, at) => (at === 0 ? { ...one, askFirst: [SMELL] } : one))
    expect([...dangersToRuleOut(gather({ ...release, conditions }, [low, cleared]))]).toEqual([SMELL])
  })
})

test('a remedy that is a sign of danger when it does not last is one then, and none when it cleared the trouble or did nothing', () => {
  const remedies = release.remedies.map((one, at) => (at === 0 ? { ...one, danger: 0 } : one))
  const dangersOf = (result: 'no-change' | 'came-back' | 'cleared') =>
    gather({ ...release, remedies }, [low, tried('replace-battery', result)]).dangers
  expect(dangersOf('came-back')).toEqual([{ hazard: 0, finding: 1 }])
  expect(dangersOf('no-change')).toEqual([])
  expect(dangersOf('cleared')).toEqual([])
})

test('without a remedy that counts every figure is the same to the last place', () => {
  for (const findings of [[low], [low, holds('old-battery')], [low, holds('hot-room'), answered('lamp-off', 'yes')]]) {
    const [plain, aside] = [
      ask(...findings),
      ask(...findings, tried('replace-supply', 'cleared', { reliability: 0.8 })),
    ]
    expect(aside.causes).toEqual(plain.causes)
    expect(aside.searched).toEqual(plain.searched)
    expect(aside.plan).toEqual(plain.plan)
  }
})
