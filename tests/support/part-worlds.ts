import fc from 'fast-check'
import type { Constraint, Item, Requirement } from '../../src/domain/parts/types.ts'

/** Small worlds of parts: few values, so that matches, misses and unknowns all happen often. */

const PART_CLASSES = ['part-class/vrla-battery-12v', 'part-class/fuse-cartridge']
const NUMERIC = ['nominalVoltageV', 'capacityAh', 'lengthMm', 'notAColumn']
const WORDY = ['terminal', 'chemistry', 'plugType']
const smallNumber = fc.constantFrom(0, 6, 7, 7.2, 9, 12, 12.8, 0.1 + 0.2, 0.3, -1)
const word = fc.constantFrom('F1', 'F2', 'agm', 'gel', 'O\'Neil "x"', 'none', '')
const range = fc.tuple(smallNumber, smallNumber).map(([a, b]) => ({ min: Math.min(a, b), max: Math.max(a, b) }))

const operation = fc.oneof(
  fc.record({ op: fc.constantFrom('min' as const, 'max' as const, 'eq' as const), value: smallNumber }),
  fc.record({ op: fc.constant('range' as const), value: smallNumber, to: smallNumber }),
  fc.record({ op: fc.constantFrom('range' as const, 'covers' as const), value: smallNumber }),
  fc.record({ op: fc.constant('covers' as const), value: smallNumber, to: smallNumber }),
  fc.record({ op: fc.constant('eq' as const), value: fc.oneof(word, fc.boolean()) }),
  fc.record({ op: fc.constant('in' as const), value: fc.array(fc.oneof(word, smallNumber), { maxLength: 3 }) }),
  fc.record({ op: fc.constant('ask' as const), value: fc.constant('not stated yet') }),
)

export const anyConstraint: fc.Arbitrary<Constraint> = fc
  .tuple(
    fc.constantFrom(...NUMERIC, ...WORDY, 'constructor'),
    operation,
    fc.constantFrom('hard' as const, 'hard' as const, 'soft' as const, 'confirm' as const),
    fc.boolean(),
  )
  .map(([attribute, operation, kind, isSafety]) => ({ attribute, ...operation, kind, isSafety, origin: 'test' }))

export const anyRequirement: fc.Arbitrary<Requirement> = fc.record({
  partClass: fc.constantFrom(...PART_CLASSES),
  constraints: fc.array(anyConstraint, { maxLength: 5 }),
  quantity: fc.integer({ min: 1, max: 9 }),
  adaptersAllowed: fc.boolean(),
})

const attributes = fc.record(
  {
    ...Object.fromEntries(NUMERIC.map((name) => [name, fc.oneof({ weight: 6, arbitrary: smallNumber }, word, range)])),
    ...Object.fromEntries(
      WORDY.map((name) => [name, fc.oneof({ weight: 6, arbitrary: word }, smallNumber, fc.boolean())]),
    ),
  },
  { requiredKeys: [] },
) as fc.Arbitrary<Item['attributes']>

const anyItem = fc
  .record(
    {
      partClass: fc.constantFrom(...PART_CLASSES),
      attributes,
      stock: fc.nat(9),
      packQuantity: fc.integer({ min: 1, max: 5 }),
      priceMinor: fc.nat(5000),
    },
    { requiredKeys: ['partClass', 'attributes'] },
  )
  .map((item) => ({ ...item, title: 'a part' }))

export const anyItems: fc.Arbitrary<Item[]> = fc
  .array(anyItem, { maxLength: 25 })
  .map((items) => items.map((item, index) => ({ ...item, sku: `P-${index}` })))
