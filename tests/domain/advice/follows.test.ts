import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { absent, allRead, answered, holds, present, smallRelease } from '../../support/small-release.ts'

const CONTEXT = { onTest: 0, notOnTest: 1, noSupply: 2, oldBattery: 3, hotRoom: 4, newPaint: 5, water: 6 } as const
const denies = (id: string): Finding => ({ kind: 'context', context: `context/${id}`, state: 'does-not-hold' })

type Change = (release: CompiledRelease) => void
function changed(change: Change): CompiledRelease {
  const release = smallRelease()
  change(release)
  return release
}
const onCondition =
  (at: number, follows: object): Change =>
  (release) => {
    Object.assign(release.conditions[at]!, follows)
  }
const onContext =
  (at: number, follows: object): Change =>
  (release) => {
    Object.assign(release.contexts[at]!, follows)
  }
const onResult =
  (check: number, follows: Record<string, object>): Change =>
  (release) => {
    Object.assign(release.checks[check]!, { follows })
  }
const known = (change: Change, ...findings: Finding[]) => gather(changed(change), findings)
const ask = (change: Change, ...findings: Finding[]) =>
  advise({ release: changed(change), findings, limits: { who: 'caller', tools: [] } })

const LAMP = 0
const OLD = { implies: [CONTEXT.oldBattery] }
const lowMeansOld = onCondition(0, OLD)

describe('a circumstance that follows from a condition', () => {
  test('counts like one that was stated', () => {
    const derived = ask(lowMeansOld, present('battery-low'))
    const stated = ask(() => {}, present('battery-low'), holds('old-battery'))
    expect([...derived.posterior]).toEqual([...stated.posterior])
    expect(derived.known.contexts).toEqual(new Map([[CONTEXT.oldBattery, 0]]))
  })

  test('is as sure as the condition', () => {
    expect(known(lowMeansOld, present('battery-low', { reliability: 0.8 })).degrees.get(CONTEXT.oldBattery)).toBe(0.8)
  })

  test('is not there while the condition is absent, over or disputed', () => {
    for (const findings of [
      [absent('battery-low')],
      [present('battery-low', { tense: 'earlier' })],
      [present('battery-low'), absent('battery-low')],
    ])
      expect(known(lowMeansOld, ...findings).contexts.size).toBe(0)
  })

  test('brings with it what follows from it in turn', () => {
    const chain: Change = (release) => {
      lowMeansOld(release)
      onContext(CONTEXT.oldBattery, { implies: [CONTEXT.hotRoom], rulesOut: [CONTEXT.newPaint] })(release)
    }
    const { contexts, excludedContexts } = known(chain, present('battery-low'))
    expect([...contexts.keys()].sort()).toEqual([CONTEXT.oldBattery, CONTEXT.hotRoom])
    expect([...excludedContexts.keys()]).toEqual([CONTEXT.newPaint])
  })

  test('opens a gate like one that was stated', () => {
    const onTest = onCondition(0, { implies: [CONTEXT.onTest] })
    const offered = (change: Change) =>
      ask(change, present('battery-low')).searched.checks.map(({ check, before }) => [check, before])
    expect(offered(onTest)).toContainEqual([1, undefined])
    expect(offered(() => {})).toContainEqual([3, 1])
  })
})

describe('what the display shows against what was said', () => {
  const notOld = onCondition(0, { rulesOut: [CONTEXT.oldBattery] })

  test('names both and lets only the display count', () => {
    const { contexts, excludedContexts, contradictions } = known(notOld, holds('old-battery'), present('battery-low'))
    expect([contexts.size, [...excludedContexts.keys()]]).toEqual([0, [CONTEXT.oldBattery]])
    expect(contradictions).toEqual([{ findings: [0, 1], about: 'context/old-battery' }])
  })

  test('stands against another circumstance of the dimension', () => {
    const result = known(onCondition(0, { implies: [CONTEXT.onTest] }), present('battery-low'), holds('not-on-test'))
    expect([...result.contexts.keys()]).toEqual([CONTEXT.onTest])
    expect(result.contradictions).toEqual([{ findings: [0, 1], about: 'context/on-test' }])
  })

  test('refutes what leads to the contrary, an answer with all that it says', () => {
    const change: Change = (release) => {
      notOld(release)
      onResult(LAMP, { yes: OLD })(release)
    }
    const { evidence, contexts, contradictions, answers, asked } = known(
      change,
      present('battery-low'),
      answered('lamp-off', 'yes'),
    )
    expect(evidence.map(({ findings }) => findings)).toEqual([[0]])
    expect(contexts.size).toBe(0)
    expect(contradictions).toEqual([{ findings: [0, 1], about: 'context/old-battery' }])
    expect([answers.get(`${LAMP}`), asked.has(`${LAMP}`)]).toEqual([new Set(['dont-know']), true])
  })

  test('settles nothing when it is less sure than what was said: neither counts', () => {
    const { contexts, excludedContexts, contradictions } = known(
      notOld,
      holds('old-battery'),
      present('battery-low', { reliability: 0.7 }),
    )
    expect([contexts.size, excludedContexts.size, contradictions.length]).toEqual([0, 0, 1])
  })

  test('shows two things that cannot both be: neither counts, and the conditions stand', () => {
    const both: Change = (release) => {
      lowMeansOld(release)
      onCondition(1, { rulesOut: [CONTEXT.oldBattery] })(release)
    }
    const result = known(both, present('battery-low'), present('supply-missing'))
    expect([result.contexts.size, result.excludedContexts.size, result.present.length]).toEqual([0, 0, 2])
    expect(result.contradictions).toEqual([{ findings: [0, 1], about: 'context/old-battery' }])
  })
})

describe('an answer from which a circumstance follows', () => {
  const yesMeansOld = onResult(LAMP, { yes: OLD, no: { rulesOut: [CONTEXT.oldBattery] } })

  test('establishes it beside what it says of causes', () => {
    const { contexts, evidence } = known(yesMeansOld, answered('lamp-off', 'yes', { reliability: 0.9 }))
    expect([contexts.get(CONTEXT.oldBattery), evidence.length]).toEqual([0, 1])
  })

  test('against a stated one is a contradiction in which neither counts', () => {
    const result = known(yesMeansOld, holds('old-battery'), answered('lamp-off', 'no'))
    expect(result.contradictions).toEqual([{ findings: [0, 1], about: 'context/old-battery' }])
    expect([result.contexts.size, result.excludedContexts.size, result.evidence.length]).toEqual([0, 0, 0])
  })

  test('is not asked for any more once what is known leaves it one result', () => {
    const offered = (...findings: Finding[]) =>
      ask(yesMeansOld, present('supply-missing'), ...findings).searched.checks.map(({ check }) => check)
    expect(offered()).toContain(LAMP)
    expect(offered(holds('old-battery'))).not.toContain(LAMP)
    expect(offered(denies('old-battery'))).not.toContain(LAMP)
    expect(offered(holds('old-battery', { reliability: 0.7 }))).toContain(LAMP)
  })
})

describe('a circumstance that is a danger', () => {
  const dangerous =
    (change: Change): Change =>
    (release) => {
      change(release)
      release.hazards[1] = { id: 'hazard/fire', stopIf: [CONTEXT.water] }
    }
  const lowIsWet = dangerous(onCondition(0, { implies: [CONTEXT.water] }))

  test('stops when it follows from a condition, an answer or another circumstance', () => {
    expect(ask(lowIsWet, present('battery-low')).stop).toBe('danger')
    expect(
      ask(dangerous(onResult(LAMP, { yes: { implies: [CONTEXT.water] } })), answered('lamp-off', 'yes')).stop,
    ).toBe('danger')
    expect(ask(dangerous(onContext(CONTEXT.oldBattery, { implies: [CONTEXT.water] })), holds('old-battery')).stop).toBe(
      'danger',
    )
    expect(ask(lowIsWet, present('supply-missing')).stop).not.toBe('danger')
  })

  test('stops although it is denied, or the condition is', () => {
    expect(ask(lowIsWet, present('battery-low'), denies('water-about')).stop).toBe('danger')
    expect(ask(lowIsWet, present('battery-low'), absent('battery-low')).stop).toBe('danger')
  })
})

describe('whatever order findings come in', () => {
  const change: Change = (release) => {
    onCondition(0, { implies: [CONTEXT.onTest], rulesOut: [CONTEXT.oldBattery] })(release)
    onCondition(1, { implies: [CONTEXT.hotRoom] })(release)
    onContext(CONTEXT.newPaint, { rulesOut: [CONTEXT.hotRoom] })(release)
    onResult(LAMP, { yes: OLD, no: { implies: [CONTEXT.newPaint] } })(release)
  }
  const all = [
    ...[present('battery-low'), present('supply-missing'), holds('not-on-test'), holds('old-battery')],
    ...[holds('new-paint'), holds('hot-room'), answered('lamp-off', 'no'), answered('ask-on-test', 'no'), allRead],
  ]

  test('the same follows, and the same is named', () => {
    const release = changed(change)
    const summary = (findings: readonly Finding[]) => {
      const { contexts, excludedContexts, degrees, contradictions, evidence } = gather(release, findings)
      const what = (at: number) => JSON.stringify(findings[at])
      return {
        contexts: [...contexts].map(([context, at]) => [context, what(at), degrees.get(context)]).sort(),
        excluded: [...excludedContexts].map(([context, at]) => [context, what(at)]).sort(),
        contradictions: contradictions
          .map(({ findings: [a, b], about }) => [...[what(a), what(b)].sort(), about])
          .sort(),
        evidence: evidence.map(({ effect, weights }) => [effect, ...weights]).sort(),
      }
    }
    fc.assert(
      fc.property(fc.subarray(all), fc.infiniteStream(fc.nat()), (some, draws) => {
        const shuffled = some
          .map((finding) => ({ finding, place: draws.next().value as number }))
          .sort((a, b) => a.place - b.place)
          .map(({ finding }) => finding)
        expect(summary(shuffled)).toEqual(summary(some))
      }),
    )
  })

  test('never both of what exclude each other hold, nor one that is ruled out', () => {
    const release = changed(change)
    fc.assert(
      fc.property(fc.subarray(all), (some) => {
        const { contexts, excludedContexts } = gather(release, some)
        expect(contexts.has(CONTEXT.onTest) && contexts.has(CONTEXT.notOnTest)).toBe(false)
        expect([...contexts.keys()].filter((context) => excludedContexts.has(context))).toEqual([])
      }),
    )
  })
})
