import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { judgeItem } from '../../../src/domain/parts/judge.ts'
import { type MatchResult, matchParts } from '../../../src/domain/parts/match.ts'
import type { Constraint, Item, Requirement } from '../../../src/domain/parts/types.ts'

const { matching } = JSON.parse(readFileSync('tests/reference/parts/matching.json', 'utf8'))

function requirementOf({ hard, soft = [], quantity = 1 }: any): Requirement {
  const [classRow, ...rest] = hard
  const toConstraint =
    (kind: Constraint['kind']) =>
    (row: any): Constraint => ({ isSafety: false, origin: 'test', ...row, kind })
  return {
    partClass: classRow.value,
    constraints: [...rest.map(toConstraint('hard')), ...soft.map(toConstraint('soft'))],
    quantity,
    adaptersAllowed: false,
  }
}
const itemOf = ({ sku, attributes: { partClass, ...attributes }, ...rest }: any): Item => ({
  sku,
  partClass,
  title: sku,
  attributes,
  ...rest,
})
const flat = ({ fits, confirmFirst, nearMisses, rejected }: MatchResult) => [
  ...fits,
  ...confirmFirst,
  ...nearMisses,
  ...rejected,
]

test.each(matching as any[])('$id: $title', ({ given, expected }) => {
  const result = matchParts(requirementOf(given.requirement), given.items.map(itemOf))
  const summary = flat(result).map(({ item, verdict, failed, unknown, packsNeeded, totalPriceMinor }) => ({
    sku: item.sku,
    verdict,
    failed: failed.map(({ attribute }) => attribute),
    unknown: unknown.map(({ attribute }) => attribute),
    packsNeeded,
    totalPriceMinor,
  }))
  expect(summary).toEqual(expected.results)
  expect(result.isNoMatch).toBe(expected.isNoMatch)
  expect(result.minimalRelaxations.map((set) => [...set].sort())).toEqual(
    expected.minimalRelaxations.map((set: string[]) => [...set].sort()),
  )
})

const attribute = fc.constantFrom('nominalVoltageV', 'capacityAh', 'heightMm', 'terminal')
const anItem = fc.record({
  sku: fc.string({ minLength: 1, maxLength: 5 }),
  partClass: fc.constantFrom('part-class/a', 'part-class/b'),
  title: fc.constant('t'),
  attributes: fc.dictionary(attribute, fc.oneof(fc.integer({ min: 0, max: 12 }), fc.constantFrom('F1', 'F2', 'none')), {
    maxKeys: 4,
  }),
}) as fc.Arbitrary<Item>
const aConstraint = fc.record({
  attribute,
  op: fc.constantFrom('eq', 'min', 'max'),
  value: fc.integer({ min: 0, max: 12 }),
  kind: fc.constantFrom('hard', 'soft'),
  isSafety: fc.boolean(),
  origin: fc.constant('test'),
}) as fc.Arbitrary<Constraint>
const aRequirement = fc.record({
  partClass: fc.constant('part-class/a'),
  constraints: fc.array(aConstraint, { maxLength: 5 }),
  quantity: fc.integer({ min: 1, max: 9 }),
  adaptersAllowed: fc.boolean(),
}) as fc.Arbitrary<Requirement>

test('another constraint never makes an item fit that did not', () => {
  fc.assert(
    fc.property(aRequirement, aConstraint, anItem, (requirement, extra, item) => {
      const stricter = { ...requirement, constraints: [...requirement.constraints, extra] }
      if (judgeItem(requirement, item).verdict !== 'fits') expect(judgeItem(stricter, item).verdict).not.toBe('fits')
    }),
  )
})

test('no relaxation gives up a matter of safety', () => {
  fc.assert(
    fc.property(aRequirement, fc.array(anItem, { maxLength: 8 }), (requirement, items) => {
      const result = matchParts(requirement, items)
      for (const miss of result.nearMisses) expect(miss.failed.some(({ isSafety }) => isSafety)).toBe(false)
      for (const set of result.minimalRelaxations)
        expect(
          items.some((item) =>
            set.every((name) =>
              judgeItem(requirement, item).failed.some((failed) => failed.attribute === name && !failed.isSafety),
            ),
          ),
        ).toBe(true)
    }),
  )
})

test('the order of the items does not change the ranking', () => {
  fc.assert(
    fc.property(
      aRequirement,
      fc.uniqueArray(anItem, { selector: ({ sku }) => sku, maxLength: 8 }),
      (requirement, items) => {
        const skus = (list: Item[]) => flat(matchParts(requirement, list)).map(({ item }) => item.sku)
        expect(skus([...items].reverse())).toEqual(skus(items))
      },
    ),
  )
})

test('an unknown attribute is a question, never a match and never a refusal', () => {
  const requirement: Requirement = {
    partClass: 'part-class/a',
    constraints: [{ attribute: 'heightMm', op: 'max', value: 100, kind: 'hard', isSafety: false, origin: 'case' }],
    quantity: 1,
    adaptersAllowed: false,
  }
  const judged = judgeItem(requirement, { sku: 'x', partClass: 'part-class/a', title: 'x', attributes: {} })
  expect(judged.verdict).toBe('needs-confirmation')
  expect(judged.unknown.map(({ attribute }) => attribute)).toEqual(['heightMm'])
})

test('an item of another class is refused as a matter of safety', () => {
  const requirement: Requirement = { partClass: 'part-class/a', constraints: [], quantity: 1, adaptersAllowed: true }
  expect(judgeItem(requirement, { sku: 'x', partClass: 'part-class/b', title: 'x', attributes: {} }).verdict).toBe(
    'rejected',
  )
})
