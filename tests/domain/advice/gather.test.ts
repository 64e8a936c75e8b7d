import { describe, expect, test } from 'vitest'
import { gather } from '../../../src/domain/advice/gather.ts'
import { circumstancesOf } from '../../../src/domain/advice/gathered.ts'
import { contextFactors } from '../../../src/domain/advice/instantiate.ts'
import { DomainError } from '../../../src/domain/errors.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { absent, allRead, answered, CAUSE, EFFECT, holds, present, smallRelease } from '../../support/small-release.ts'

const gathered = (...findings: Finding[]) => gather(smallRelease(), findings)
const on = (known: ReturnType<typeof gathered>, effect: number) => known.evidence.find((item) => item.effect === effect)
const read = (value: number): Finding => ({ kind: 'reading', reading: 'reading/rest-voltage', value })

describe('the same fact twice', () => {
  test('is one item of evidence that names both findings, by the more reliable one', () => {
    const known = gathered(present('battery-low', { reliability: 0.7 }), present('battery-low', { reliability: 0.9 }))
    expect(known.evidence).toHaveLength(1)
    expect(on(known, EFFECT.batteryLow)).toMatchObject({ findings: [0, 1], weights: [expect.closeTo(0.1), 0.9] })
    expect(known.contradictions).toEqual([])
    expect(known.present).toHaveLength(1)
  })

  test('agrees however little one of the two is worth', () => {
    const known = gathered(present('battery-low', { reliability: 0.5 }), present('battery-low'))
    expect(known.contradictions).toEqual([])
    expect(on(known, EFFECT.batteryLow)?.weights).toEqual([0, 1])
  })

  test('on another device is another fact', () => {
    const known = gathered(present('radio-low', { device: 'hall' }), present('radio-low', { device: 'attic' }))
    expect(known.evidence).toHaveLength(2)
    expect(known.present.map(({ device }) => device).sort()).toEqual(['attic', 'hall'])
  })
})

describe('contradictions', () => {
  test('of a condition name both findings and count for neither side', () => {
    const known = gathered(present('battery-low'), absent('battery-low'))
    expect(known.contradictions).toEqual([{ findings: [0, 1], about: 'condition/battery-low' }])
    expect(known.evidence).toEqual([])
    expect(known.present).toEqual([])
  })

  test('are not settled by the silence of a fully read display', () => {
    const known = gathered(present('battery-low'), absent('battery-low'), allRead)
    expect(on(known, EFFECT.batteryLow)).toBeUndefined()
    expect(on(known, EFFECT.supplyMissing)?.findings).toEqual([])
  })

  test('with half a doubt stay contradictions', () => {
    const known = gathered(present('battery-low', { reliability: 0.5 }), absent('battery-low'))
    expect(known.contradictions).toHaveLength(1)
    expect(known.present).toEqual([])
  })

  test('arise between contexts of one dimension', () => {
    const known = gathered(holds('on-test'), answered('ask-on-test', 'no'))
    expect(known.contradictions).toEqual([{ findings: [0, 1], about: 'context/not-on-test' }])
    expect(known.contexts.size).toBe(0)
  })

  test('do not arise between contexts that belong to no dimension', () => {
    expect(gathered(holds('hot-room'), holds('water-about')).contexts.size).toBe(2)
  })

  test('of a context are seen in either order', () => {
    const not = holds('on-test', { state: 'does-not-hold' })
    for (const findings of [
      [holds('on-test'), not],
      [not, holds('on-test')],
    ]) {
      const known = gathered(...findings)
      expect(known.contradictions).toEqual([{ findings: [0, 1], about: 'context/on-test' }])
      expect([known.contexts.size, known.excludedContexts.size]).toEqual([0, 0])
    }
  })

  test('of a band on both sides are reported once', () => {
    const known = gathered(answered('rest-voltage', 'low'), answered('rest-voltage', 'high'))
    expect(known.contradictions).toEqual([{ findings: [0, 1], about: 'reading/rest-voltage' }])
    expect(known.evidence).toEqual([])
  })
})

describe('readings', () => {
  test('speak on the side below and on the side above the healthy band', () => {
    const known = gathered(read(11))
    expect(on(known, 5)?.weights).toEqual([expect.closeTo(0), expect.closeTo(1)])
    expect(on(known, 6)?.weights).toEqual([expect.closeTo(1), expect.closeTo(0)])
  })

  test('are shared between the bands on an edge', () => {
    expect(on(gathered(read(12)), 5)?.weights).toEqual([expect.closeTo(0.5), expect.closeTo(0.5)])
  })

  test('replace words of the same check, and say which findings they set aside', () => {
    const known = gathered(answered('rest-voltage', 'low'), read(11), answered('rest-voltage', 'low'))
    expect(known.unused).toEqual([0, 2])
    expect(on(known, 5)).toMatchObject({ findings: [1] })
    expect(known.contradictions).toEqual([])
  })

  test('outside what can be are refused with a pointer', () => {
    expect(() => gathered(read(21))).toThrow(
      expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE', detail: expect.objectContaining({ value: 21 }) }),
    )
    expect(() => gathered(read(Number.NaN))).toThrow(DomainError)
  })
})

describe('what was so earlier', () => {
  test.each<[string, Finding]>([
    ['a condition', present('battery-low', { tense: 'earlier' })],
    ['an answer', answered('lamp-off', 'yes', { tense: 'earlier' })],
    ['a reading', { kind: 'reading', reading: 'reading/rest-voltage', value: 11, tense: 'earlier' }],
    ['a context', holds('old-battery', { tense: 'earlier' })],
    ['a screen', { ...allRead, tense: 'earlier' }],
  ])('%s is set aside and moves nothing', (_, finding) => {
    const known = gathered(finding)
    expect(known.unused).toEqual([0])
    expect([known.evidence, known.present, known.contexts.size, known.isScreenMentioned]).toEqual([[], [], 0, false])
  })

  test('is a danger all the same', () => {
    expect(gathered(answered('smell', 'yes', { tense: 'earlier' })).dangers).toEqual([{ hazard: 1, finding: 0 }])
  })

  test('is refused where its id is unknown', () => {
    expect(() => gathered(present('no-such', { tense: 'earlier' }))).toThrow(
      expect.objectContaining({
        code: 'UNKNOWN_ID',
        detail: expect.objectContaining({ path: '/findings/0/condition' }),
      }),
    )
  })
})

test('a check of the system is asked once, whatever device the answer names', () => {
  expect([...gathered(answered('lamp-off', 'dont-know', { device: 'hall' })).asked]).toEqual(['0'])
  expect([...gathered(answered('radio-near', 'dont-know', { device: 'hall' })).asked]).toEqual(['6 hall'])
})

test('names of built-in properties are unknown ids', () => {
  for (const id of ['__proto__', 'constructor', 'toString'])
    expect(() => gathered({ kind: 'condition', condition: id, state: 'present' })).toThrow(DomainError)
})

test('contexts move the odds alike in any order, within the limit', () => {
  const factor = (...ids: string[]) => {
    const known = gathered(...ids.map((id) => holds(id)))
    return contextFactors(known.instance, circumstancesOf(known))[CAUSE.batteryWorn]!
  }
  expect(factor('old-battery', 'hot-room')).toBe(50)
  expect(factor('old-battery', 'hot-room', 'new-paint')).toBeCloseTo(20, 9)
  expect(factor('new-paint', 'hot-room', 'old-battery')).toBeCloseTo(20, 9)
})
