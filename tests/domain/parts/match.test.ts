import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { DomainError } from '../../../src/domain/errors.ts'
import { type MatchResult, matchParts } from '../../../src/domain/parts/match.ts'
import type { Constraint, Item, Requirement } from '../../../src/domain/parts/types.ts'
import table from '../../reference/parts/matching.json' with { type: 'json' }
import { anyConstraint, anyItems, anyRequirement } from '../../support/part-worlds.ts'

const all = ({ fits, confirmFirst, nearMisses, rejected }: MatchResult) => [
  ...fits,
  ...confirmFirst,
  ...nearMisses,
  ...rejected,
]
const verdicts = (result: MatchResult) => new Map(all(result).map(({ item, verdict }) => [item.sku, verdict]))

/** A row names the kind of part as a constraint and an attribute; the core has it as a field of its own. */
function requirementOf(given: any): Requirement {
  const { hard, soft = [], quantity = 1 } = given.requirement
  const kinds = [
    ...hard.map((one: object) => ({ isSafety: false, ...one, kind: 'hard' })),
    ...soft.map((one: object) => ({ isSafety: false, ...one, kind: 'soft' })),
  ]
  return {
    partClass: hard.find(({ attribute }: Constraint) => attribute === 'partClass').value,
    constraints: kinds.filter(({ attribute }) => attribute !== 'partClass').map((one) => ({ origin: 'row', ...one })),
    quantity,
    adaptersAllowed: false,
  }
}
function itemOf(row: any): Item {
  const { partClass, ...attributes } = row.attributes
  return { title: row.sku, ...row, partClass, attributes }
}

describe('matching', () => {
  test.each(table.rows)('$id: $title', ({ given, expected }) => {
    const result = matchParts(requirementOf(given), given.items.map(itemOf))
    const seen = all(result).map(({ item, verdict, failed, unknown, packsNeeded, totalPriceMinor }) => ({
      sku: item.sku,
      verdict,
      failed: failed.map(({ attribute }) => attribute),
      unknown: unknown.map(({ attribute }) => attribute),
      packsNeeded,
      totalPriceMinor,
    }))
    expect(seen).toEqual(expected.results)
    expect(result.isNoMatch).toBe(expected.isNoMatch)
    expect(result.minimalRelaxations).toEqual(expected.minimalRelaxations)
  })

  const battery = requirementOf(table.rows[0]!.given)
  const good = itemOf(table.rows[0]!.given.items[0])

  test('an unknown attribute comes with the question that settles it', () => {
    const { heightMm, ...attributes } = good.attributes
    const [unsettled] = matchParts(battery, [{ ...good, attributes }]).confirmFirst
    expect(unsettled!.questions).toEqual(['What is its height in millimetres? Needed: at most 101.'])
    expect(
      verdicts(matchParts(battery, [{ ...good, attributes: { ...attributes, heightMm: heightMm! } }])).get(good.sku),
    ).toBe('fits')
  })

  test('a near miss names both values and why giving in may hurt; an adapter is offered only where allowed', () => {
    const item = { ...good, attributes: { ...good.attributes, terminal: 'F2' } }
    const [miss] = matchParts(battery, [item]).nearMisses
    expect(miss!.relaxation).toMatchObject({ attribute: 'terminal', required: 'F1', found: 'F2' })
    expect(miss!.relaxation.danger).not.toBe('')
    expect(miss!.fix).toBeUndefined()
    expect(matchParts({ ...battery, adaptersAllowed: true }, [item]).nearMisses[0]!.fix).toMatch(/adapter/)
  })

  test('rejections are counted with matters of safety first', () => {
    const sixVolt = { ...good, sku: 'six', attributes: { ...good.attributes, nominalVoltageV: 6 } }
    const wide = { ...good, sku: 'wide', attributes: { ...good.attributes, widthMm: 99, heightMm: 120 } }
    expect(matchParts(battery, [wide, sixVolt]).rejections).toEqual([
      { attribute: 'nominalVoltageV', isSafety: true, count: 1 },
      { attribute: 'heightMm', isSafety: false, count: 1 },
      { attribute: 'widthMm', isSafety: false, count: 1 },
    ])
  })

  test('"none" is an answer, not an unknown', () => {
    const constraint: Constraint = {
      attribute: 'supplyVoltageV',
      op: 'covers',
      value: 11,
      to: 14,
      kind: 'hard',
      isSafety: false,
      origin: 'test',
    }
    const need = { ...battery, constraints: [constraint] }
    const having = (value: Item['attributes'][string] | undefined) =>
      verdicts(matchParts(need, [{ ...good, attributes: value === undefined ? {} : { supplyVoltageV: value } }])).get(
        good.sku,
      )
    expect(having('none')).toBe('near-miss')
    expect(having(undefined)).toBe('needs-confirmation')
    expect(having({ min: 10, max: 15 })).toBe('fits')
    expect(having({ min: 12, max: 15 })).toBe('near-miss')
  })

  test('warns of a short stock, a surplus and of what is not stated', () => {
    const need = { ...battery, quantity: 3 }
    const { priceMinor: _, ...unpriced } = good
    expect(matchParts(need, [{ ...unpriced, packQuantity: 2, stock: 1 }]).fits[0]).toMatchObject({
      packsNeeded: 2,
      surplus: 1,
      warnings: [
        '1 more than needed, because of the pack size.',
        'Only 1 in stock where 2 are needed.',
        'Price is not stated.',
      ],
    })
  })

  test.each([0, -1, 1.5, Number.NaN, Number.POSITIVE_INFINITY])('refuses %s pieces', (quantity) => {
    expect(() => matchParts({ ...battery, quantity }, [])).toThrow(
      expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' } satisfies Partial<DomainError>),
    )
    expect(() => matchParts(battery, [{ ...good, packQuantity: quantity }])).toThrow(/packQuantity must be/)
  })
})

describe('matching, whatever the parts', () => {
  test('every item gets one verdict, and the order does not depend on the order given', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, fc.infiniteStream(fc.nat()), (requirement, items, keys) => {
        const result = matchParts(requirement, items)
        const shuffled = items.map((item) => ({ item, key: keys.next().value! })).sort((a, b) => a.key - b.key)
        expect(all(result)).toHaveLength(items.length)
        expect(
          matchParts(
            requirement,
            shuffled.map(({ item }) => item),
          ),
        ).toEqual(result)
      }),
    )
  })

  test('another constraint never adds a fit', () => {
    fc.assert(
      fc.property(anyRequirement, anyConstraint, anyItems, (requirement, constraint, items) => {
        const stricter = { ...requirement, constraints: [...requirement.constraints, constraint] }
        const before = verdicts(matchParts(requirement, items))
        for (const { item } of matchParts(stricter, items).fits) expect(before.get(item.sku)).toBe('fits')
      }),
    )
  })

  test('learning an unknown value never turns a rejected item into a fit', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, fc.constantFrom('capacityAh', 'terminal'), (requirement, items, name) => {
        const unknown = items.map(({ attributes: { [name]: _, ...attributes }, ...item }) => ({ ...item, attributes }))
        const before = verdicts(matchParts(requirement, unknown))
        for (const { item } of matchParts(requirement, items).fits)
          expect(['fits', 'needs-confirmation']).toContain(before.get(item.sku))
      }),
    )
  })

  test('no failed or unknown hard constraint is ever called a fit, and no relaxation holds a matter of safety', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, (requirement, items) => {
        const result = matchParts(requirement, items)
        for (const one of result.fits) expect([...one.failed, ...one.unknown]).toEqual([])
        for (const one of result.nearMisses) expect(one.failed.map(({ isSafety }) => isSafety)).toEqual([false])
        const relaxable = result.rejected
          .concat(result.nearMisses)
          .filter(({ failed }) => !failed.some(({ isSafety }) => isSafety))
        for (const set of result.minimalRelaxations)
          expect(
            relaxable.some(({ failed }) => set.every((name) => failed.some(({ attribute }) => attribute === name))),
          ).toBe(true)
      }),
    )
  })

  test('another unit for both sides leaves the verdict as it was', () => {
    fc.assert(
      fc.property(
        anyItems,
        fc.double({ min: 1, max: 300, noNaN: true }),
        fc.constantFrom(0.1, 1000, 1 / 25.4),
        (items, limit, factor) => {
          const need = (value: number): Requirement => ({
            partClass: 'part-class/fuse-cartridge',
            constraints: [{ attribute: 'lengthMm', op: 'max', value, kind: 'hard', isSafety: false, origin: 'test' }],
            quantity: 1,
            adaptersAllowed: false,
          })
          const scaled = items.map((item) => {
            const { lengthMm } = item.attributes
            return typeof lengthMm === 'number'
              ? { ...item, attributes: { ...item.attributes, lengthMm: lengthMm * factor } }
              : item
          })
          expect(verdicts(matchParts(need(limit * factor), scaled))).toEqual(verdicts(matchParts(need(limit), items)))
        },
      ),
    )
  })
})
