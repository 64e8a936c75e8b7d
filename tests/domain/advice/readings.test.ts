import { describe, expect, test } from 'vitest'
import { gather } from '../../../src/domain/advice/gather.ts'
import type { Finding, ReadingFinding } from '../../../src/domain/findings/finding.ts'
import { answered, smallRelease } from '../../support/small-release.ts'

const gathered = (...findings: Finding[]) => gather(smallRelease(), findings)
const [LOW, HIGH] = [5, 6]
const weightsOn = (known: ReturnType<typeof gathered>, effect: number) =>
  known.evidence.find((item) => item.effect === effect)?.weights
const countedIn = (known: ReturnType<typeof gathered>) => known.evidence.find(({ effect }) => effect === LOW)?.findings
/** A rest voltage; the bands are low under 12 V, healthy, high from 14 V. */
const read = (value: number, rest: Partial<ReadingFinding> = {}): Finding => ({
  kind: 'reading',
  reading: 'reading/rest-voltage',
  value,
  ...rest,
})
const NOON = Date.UTC(2026, 0, 2, 12)
const at = (minutes: number) => ({ observedMs: NOON + minutes * 60_000 })
const meter = (absolute: number) => ({ meter: { percentOfReading: 0, absolute } })
const about = 'reading/rest-voltage'

/** What comes of two findings in either order, by which of them counts. */
function eitherWay(first: Finding, second: Finding) {
  const [one, other] = [gathered(first, second), gathered(second, first)]
  const swapped = (positions: readonly number[] | undefined) => positions?.map((position) => 1 - position)
  expect(swapped(countedIn(other))?.sort()).toEqual(countedIn(one))
  expect(swapped(other.unused)?.sort()).toEqual(one.unused)
  expect(other.contradictions).toEqual(one.contradictions)
  return one
}

describe('of two readings of one thing', () => {
  test('the newer counts, wherever it stands, and the older is unused without being disputed', () => {
    const known = eitherWay(read(11.4, at(30)), read(13, at(0)))
    expect([countedIn(known), known.unused, known.contradictions]).toEqual([[0], [1], []])
  })

  test('the newer counts also against a better meter and a surer reader', () => {
    const known = eitherWay(read(13, { ...at(1), ...meter(0.5), reliability: 0.9 }), read(11.4, at(0)))
    expect(countedIn(known)).toEqual([0])
  })

  test.each([
    ['without times', {}],
    ['of one time', at(0)],
  ])('%s the better meter counts', (_, time) => {
    const known = eitherWay(read(12.6, { ...meter(0.5), ...time }), read(12.5, { ...meter(0.02), ...time }))
    expect([countedIn(known), known.unused, known.contradictions]).toEqual([[1], [0], []])
  })

  test('one without a time is as new as any', () => {
    const known = eitherWay(read(12.6, at(0)), read(12.5, meter(0.02)))
    expect(countedIn(known)).toEqual([1])
  })

  test('by one meter the one further from healthy counts, below as above', () => {
    expect(countedIn(eitherWay(read(12.1), read(12.05)))).toEqual([1])
    expect(countedIn(eitherWay(read(14.6), read(13.9)))).toEqual([0])
    expect(countedIn(eitherWay(read(13), read(11.4)))).toEqual([1])
  })

  test('the more reliable counts, so that one worth nothing does not hide one that is', () => {
    const known = eitherWay(read(11.4, { reliability: 0.5 }), read(12.5))
    expect(countedIn(known)).toEqual([1])
  })

  test('that say the very same both are named and none is unused', () => {
    const known = gathered(read(11.4), read(11.4))
    expect([countedIn(known), known.unused, known.contradictions]).toEqual([[0, 1], [], []])
  })

  test('that differ by less than both meters explain none is disputed', () => {
    // u = 0.1 / sqrt(3) each, so that 2 sqrt(2) u = 0.163 V is explained
    expect(gathered(read(12.5, meter(0.1)), read(12.66, meter(0.1))).contradictions).toEqual([])
    expect(gathered(read(12.5, meter(0.1)), read(12.67, meter(0.1))).contradictions).toEqual([
      { findings: [0, 1], about },
    ])
  })

  test('whose bands are not neighbours are disputed however poor the meters', () => {
    const known = gathered(read(11.5, meter(5)), read(14.5, meter(5)))
    expect(known.contradictions).toEqual([{ findings: [0, 1], about }])
  })

  test('in dispute one counts all the same', () => {
    const known = eitherWay(read(13), read(11.4))
    expect(known.contradictions).toEqual([{ findings: [0, 1], about }])
    expect([countedIn(known), known.unused]).toEqual([[1], [0]])
  })

  test('in dispute both bands stay answers of the check, else the one that counts alone', () => {
    const answersOf = (...findings: Finding[]) => [...gathered(...findings).answers.get('2')!].sort()
    expect(answersOf(read(13), read(11.4))).toEqual(['healthy', 'low'])
    expect(answersOf(read(13, at(0)), read(11.4, at(5)))).toEqual(['low'])
    expect(answersOf(answered('rest-voltage', 'healthy'), read(11.4))).toEqual(['low'])
    expect(answersOf(answered('rest-voltage', 'high'), read(11.4))).toEqual(['high', 'low'])
  })
})

describe('a reading against words', () => {
  test('counts, and does not dispute the band beside its own', () => {
    const known = eitherWay(read(11.4), answered('rest-voltage', 'healthy'))
    expect([countedIn(known), known.unused, known.contradictions]).toEqual([[0], [1], []])
  })

  test('counts, and names words far from it as a contradiction', () => {
    const known = eitherWay(read(11.4), answered('rest-voltage', 'high'))
    expect([countedIn(known), known.unused]).toEqual([[0], [1]])
    expect(known.contradictions).toEqual([{ findings: [0, 1], about }])
  })

  test('counts also where the words contradict each other', () => {
    const known = gathered(answered('rest-voltage', 'low'), answered('rest-voltage', 'high'), read(11.4))
    expect([countedIn(known), known.unused]).toEqual([[2], [0, 1]])
    expect(known.contradictions.map(({ findings }) => findings)).toEqual([
      [0, 1],
      [1, 2],
    ])
  })

  test('is not disputed by "do not know"', () => {
    const known = eitherWay(read(11.4), answered('rest-voltage', 'dont-know'))
    expect([countedIn(known), known.contradictions]).toEqual([[0], []])
  })
})

describe('a reading that may not be as stated', () => {
  test('speaks as weakly as words of the same reliability', () => {
    for (const reliability of [0.5, 0.7, 0.95]) {
      const figure = gathered(read(11, { reliability, ...meter(0) }))
      const words = gathered(answered('rest-voltage', 'low', { reliability }))
      for (const effect of [LOW, HIGH])
        for (const [level, weight] of weightsOn(words, effect)!.entries())
          expect(weightsOn(figure, effect)![level]).toBeCloseTo(weight, 12)
    }
  })

  test('says nothing at a half where there are two bands', () => {
    const { high: _, ...reading } = { ...smallRelease().readings[0]!, edges: [12], bands: ['low', 'healthy'] }
    const release = smallRelease({ readings: [reading] })
    const weights = (reliability: number) => gather(release, [read(11.4, { reliability })]).evidence[0]!.weights
    expect(weights(0.5)[0]).toBeCloseTo(weights(0.5)[1]!, 12)
    expect(weights(0.8)[1]).toBeCloseTo(0.8, 9)
  })

  test('shares what is taken from its band among the others', () => {
    expect(weightsOn(gathered(read(11, { reliability: 0.6, ...meter(0) })), HIGH)).toEqual([
      expect.closeTo(0.8, 12),
      expect.closeTo(0.2, 12),
    ])
  })

  test('keeps the shares of an edge', () => {
    const edge = weightsOn(gathered(read(12, { reliability: 0.7 })), LOW)!
    // half of 0.7 and of the rest that the other two share: 0.5 x 0.7 + 0.5 x 0.15
    expect(edge[1]).toBeCloseTo(0.425, 9)
  })
})
