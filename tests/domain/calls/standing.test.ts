import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { compareAnswers } from '../../../src/domain/calls/compare.ts'
import { standingSpans } from '../../../src/domain/calls/standing.ts'

const report = (condition: string, isPresent: boolean, at: number, device?: string) => ({
  condition,
  isPresent,
  at,
  ...(device === undefined ? {} : { device }),
})

describe('spans in which a condition was reported to stand', () => {
  test('go from the first report to the report that it is gone', () => {
    expect(standingSpans([report('a', true, 10), report('a', true, 20), report('a', false, 30)], [])).toEqual([
      { condition: 'a', from: 10, until: 30 },
    ])
  })

  test('have no end while nothing ended them', () => {
    expect(standingSpans([report('a', true, 10), report('b', false, 20)], [])).toEqual([{ condition: 'a', from: 10 }])
  })

  test('begin anew when the condition comes back', () => {
    const spans = standingSpans([report('a', true, 10), report('a', true, 40)], [30])
    expect(spans).toEqual([
      { condition: 'a', from: 10, until: 30 },
      { condition: 'a', from: 40 },
    ])
  })

  test('are apart for each device', () => {
    const spans = standingSpans(
      [report('a', true, 10, 'hall'), report('a', true, 20, 'attic'), report('a', false, 30, 'hall')],
      [],
    )
    expect(spans).toEqual([
      { condition: 'a', device: 'hall', from: 10, until: 30 },
      { condition: 'a', device: 'attic', from: 20 },
    ])
  })

  const reports = fc.array(
    fc.record({ condition: fc.constantFrom('a', 'b'), isPresent: fc.boolean(), at: fc.nat(50) }),
    { maxLength: 20 },
  )
  test('are in order, never overlap for one condition, and do not hang on the order of the reports', () => {
    fc.assert(
      fc.property(reports, fc.array(fc.nat(50), { maxLength: 4 }), (list, cleared) => {
        const spans = standingSpans(list, cleared)
        expect(standingSpans([...list].reverse(), [...cleared].reverse())).toEqual(spans)
        for (const condition of ['a', 'b']) {
          const own = spans.filter((span) => span.condition === condition)
          own.forEach(({ from, until }, index) => {
            expect(until ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(from)
            expect(own[index + 1]?.from ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(until ?? 0)
          })
          expect(own.slice(0, -1).every(({ until }) => until !== undefined)).toBe(true)
        }
      }),
    )
  })
})

describe('what differs between two answers', () => {
  const answer = {
    stop: null,
    causes: [{ cause: 'cause/a', probability: 0.5 }],
    checks: ['check/a'],
    remedies: ['remedy/a'],
  }

  test('is nothing between an answer and itself written and read again', () => {
    expect(compareAnswers(JSON.parse(JSON.stringify(answer)), answer)).toEqual({ isSame: true, causes: [] })
  })

  test('names causes that moved, came and went, and lists and stops that changed', () => {
    const after = {
      stop: 'danger',
      causes: [
        { cause: 'cause/a', probability: 0.25 },
        { cause: 'cause/b', device: 'hall', probability: 0.1 },
      ],
      checks: ['check/a'],
      remedies: [],
    }
    expect(compareAnswers(answer, after)).toEqual({
      isSame: false,
      stop: { before: null, after: 'danger' },
      causes: [
        { cause: 'cause/a', before: 0.5, after: 0.25 },
        { cause: 'cause/b', device: 'hall', after: 0.1 },
      ],
      remedies: { before: ['remedy/a'], after: [] },
    })
    expect(compareAnswers(after, answer).causes).toContainEqual({ cause: 'cause/b', device: 'hall', before: 0.1 })
  })
})
