import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { ageMonths, withAge } from '../../../src/domain/parts/age.ts'
import { contradictionsOf } from '../../../src/domain/parts/contradictions.ts'
import { judgeItem } from '../../../src/domain/parts/judge.ts'
import { matchParts } from '../../../src/domain/parts/match.ts'
import { outlookOf } from '../../../src/domain/parts/roots.ts'
import type { Constraint, Item } from '../../../src/domain/parts/types.ts'
import { anyConstraint, anyItems, anyRequirement } from '../../support/part-worlds.ts'

const [{ expected }] = JSON.parse(readFileSync('tests/reference/parts/minimal-conflicts.json', 'utf8')).minimalConflicts
const sorted = (sets: string[][]) => sets.map((set) => [...set].sort().join()).sort()

/** Every choice of the four options that the printed example allows, as an item with its total cost. */
const COSTS = { c2: 500, c3: 500, c4: 500, c5: 2600 }
const OPTIONS = Object.keys(COSTS) as (keyof typeof COSTS)[]
const isAllowed = ({ attributes }: Item) => !(attributes.c2 && attributes.c3)
const CHOICES: Item[] = Array.from({ length: 2 ** OPTIONS.length }, (_, bits) => {
  const chosen = OPTIONS.filter((_, at) => bits & (1 << at))
  const cost = chosen.reduce((sum, option) => sum + COSTS[option], 0)
  const attributes: Item['attributes'] = Object.fromEntries(OPTIONS.map((option) => [option, chosen.includes(option)]))
  return { sku: `${bits}`, partClass: 'choice', title: 'a choice', attributes: { ...attributes, c1: cost } }
}).filter(isAllowed)
const DEMANDS: Constraint[] = [
  { attribute: 'c1', op: 'max', value: 3000, kind: 'hard', isSafety: false, origin: 'budget' },
  ...OPTIONS.map((option) => ({
    attribute: option,
    op: 'eq' as const,
    value: true,
    kind: 'hard' as const,
    isSafety: false,
    origin: 'wish',
  })),
]
const match = (constraints: Constraint[]) =>
  matchParts({ partClass: 'choice', constraints, quantity: 1, adaptersAllowed: false }, CHOICES)

describe('the printed example of conflicts', () => {
  test('has the minimal relaxations that follow from it', () => {
    expect(sorted(match(DEMANDS).minimalRelaxations)).toEqual(sorted(expected.minimalRelaxations))
  })

  test('has the printed minimal conflicts: the smallest sets of demands that nothing meets', () => {
    const subsets = Array.from({ length: 2 ** DEMANDS.length }, (_, bits) =>
      DEMANDS.filter((_, at) => bits & (1 << at)),
    )
    const clashing = subsets.filter((subset) => match(subset).fits.length === 0)
    const minimal = clashing.filter(
      (set) => !clashing.some((other) => other.length < set.length && other.every((one) => set.includes(one))),
    )
    expect(sorted(minimal.map((set) => set.map(({ attribute }) => attribute)))).toEqual(
      sorted(expected.minimalConflicts),
    )
  })
})

describe('whatever the demands', () => {
  test('another demand, presumed or open or stated, never makes a fit', () => {
    fc.assert(
      fc.property(anyRequirement, anyConstraint, anyItems, (requirement, extra, items) => {
        const stricter = { ...requirement, constraints: [...requirement.constraints, extra] }
        for (const item of items)
          if (judgeItem(requirement, item).verdict !== 'fits')
            expect(judgeItem(stricter, item).verdict).not.toBe('fits')
      }),
    )
  })

  test('a value that becomes known moves nothing from refused to fit unless it is the one that failed', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, fc.constantFrom('capacityAh', 'terminal'), (requirement, items, name) => {
        for (const item of items) {
          const { [name]: _, ...attributes } = item.attributes
          const before = judgeItem(requirement, { ...item, attributes })
          if (before.verdict === 'rejected') expect(judgeItem(requirement, item).verdict).not.toBe('fits')
        }
      }),
    )
  })

  test('no part meets demands that are said to contradict each other', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, (requirement, items) => {
        const { contradictions, fits } = matchParts(requirement, items)
        if (contradictions.length > 0) expect(fits).toEqual([])
      }),
    )
  })

  test('what is nearly right says by how much it misses', () => {
    const height: Constraint = {
      attribute: 'heightMm',
      op: 'max',
      value: 101,
      kind: 'hard',
      isSafety: false,
      origin: '',
    }
    const item: Item = { sku: 'a', partClass: 'choice', title: '', attributes: { heightMm: 105.3 } }
    const [miss] = matchParts({ partClass: 'choice', constraints: [height], quantity: 1, adaptersAllowed: false }, [
      item,
    ]).nearMisses
    expect(miss!.relaxation.beyondBy).toBe(4.3)
  })
})

describe('contradictions', () => {
  const demand = (op: Constraint['op'], value: Constraint['value'], kind: Constraint['kind'] = 'hard'): Constraint => ({
    attribute: 'capacityAh',
    op,
    value,
    kind,
    isSafety: false,
    origin: op,
  })
  test.each<[string, Constraint, Constraint, number]>([
    ['a least above a most', demand('min', 12), demand('max', 9), 1],
    ['a least at a most', demand('min', 9), demand('max', 9), 0],
    ['two values', demand('eq', 6), demand('eq', 12), 1],
    ['a value off a list', demand('eq', 6), demand('in', [7, 9]), 1],
    ['lists that share one', demand('in', [6, 7]), demand('in', [7, 9]), 0],
    ['a value beyond a bound', demand('eq', 12), demand('max', 9), 1],
    ['a wish against a bound', demand('eq', 12, 'soft'), demand('max', 9), 0],
    ['a presumed bound', demand('min', 12), demand('max', 9, 'confirm'), 0],
  ])('%s', (_, a, b, count) => {
    expect(contradictionsOf([a, b])).toHaveLength(count)
    expect(contradictionsOf([b, a])).toHaveLength(count)
  })
})

describe('what stands above a part', () => {
  const rootOf = (cause: string) => (cause === 'feed' ? ['worn', 'flat'] : [])
  test('a likely root of what the part cures comes first, likeliest first, and is not called uncured as well', () => {
    const causes = [
      { cause: 'noise', probability: 0.3 },
      { cause: 'feed', probability: 0.4 },
      { cause: 'worn', probability: 0.9 },
      { cause: 'rare', probability: 0.1 },
    ]
    expect(outlookOf(causes, new Set(['worn']), rootOf)).toEqual({
      roots: [{ cause: 'feed', probability: 0.4, brings: ['worn'] }],
      notCured: [{ cause: 'noise', probability: 0.3 }],
    })
  })

  test('a root that brings about nothing the part cures is merely not cured', () => {
    expect(outlookOf([{ cause: 'feed', probability: 0.4 }], new Set(['other']), rootOf)).toEqual({
      roots: [],
      notCured: [{ cause: 'feed', probability: 0.4 }],
    })
  })

  test('the same cause on two devices is named once, by the likelier', () => {
    const twice = [0.3, 0.5].map((probability) => ({ cause: 'noise', probability }))
    expect(outlookOf(twice, new Set(), rootOf).notCured).toEqual([{ cause: 'noise', probability: 0.5 }])
  })
})

describe('age in store', () => {
  test('counts from the day of making, and a day to come is no age', () => {
    expect(ageMonths('2026-01-01', '2026-07-02')).toBeCloseTo(182 / 30.436875, 9)
    expect(ageMonths('2026-01-02', '2026-01-01')).toBeUndefined()
    expect(ageMonths('soon', '2026-01-01')).toBeUndefined()
  })

  test('is filled in where the item does not state it', () => {
    const item: Item = { sku: 'a', partClass: 'x', title: '', attributes: {}, madeOn: '2026-01-01' }
    expect(withAge(item, '2026-07-15').attributes.shelfMonths).toBe(6)
    expect(withAge({ ...item, attributes: { shelfMonths: 1 } }, '2026-07-15').attributes.shelfMonths).toBe(1)
    expect(withAge(item, undefined)).toBe(item)
  })
})
