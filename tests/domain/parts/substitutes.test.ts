import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { completingKits, kitOf } from '../../../src/domain/parts/kits.ts'
import { matchParts } from '../../../src/domain/parts/match.ts'
import { type Substitute, substituteRequirements } from '../../../src/domain/parts/substitutes.ts'
import type { Constraint, Item, Requirement } from '../../../src/domain/parts/types.ts'
import { anyItems, anyRequirement } from '../../support/part-worlds.ts'

const CELL = 'part-class/cell'
const LITHIUM = 'part-class/lithium'
const hard = (attribute: string, op: Constraint['op'], value: Constraint['value'], isSafety = false): Constraint => ({
  attribute,
  op,
  value,
  kind: 'hard',
  isSafety,
  origin: 'test',
})
const need = (partClass: string, ...constraints: Constraint[]): Requirement => ({
  partClass,
  constraints,
  quantity: 1,
  adaptersAllowed: true,
})
const part = (sku: string, partClass: string, attributes: Item['attributes'], more: Partial<Item> = {}): Item => ({
  sku,
  partClass,
  title: sku,
  attributes,
  ...more,
})
const LISTED: Substitute = {
  id: 'lithium-for-alkaline',
  swaps: [
    { attribute: 'sizeName', required: 'LR6', candidate: 'FR6' },
    { attribute: 'chemistry', required: 'alkaline', candidate: 'lithium' },
  ],
  partClass: LITHIUM,
  conditions: ['device-lists-it'],
  rank: 2,
}
const alkaline = need(CELL, hard('sizeName', 'eq', 'LR6'), hard('chemistry', 'in', ['alkaline'], true))
const lithiumCell = part('FR6', LITHIUM, { sizeName: 'FR6', chemistry: 'lithium' })
const alkalineCell = part('LR6', CELL, { sizeName: 'LR6', chemistry: 'alkaline' })

describe('a substitute', () => {
  test('is a question until its condition is made sure of, and then a fit behind the original', () => {
    const open = matchParts(alkaline, [lithiumCell], [LISTED])
    expect([open.fits, open.confirmFirst[0]!.substitution]).toEqual([
      [],
      { id: LISTED.id, rank: 2, open: ['device-lists-it'] },
    ])
    const sure = matchParts({ ...alkaline, confirmed: ['device-lists-it'] }, [lithiumCell, alkalineCell], [LISTED])
    expect(sure.fits.map(({ item }) => item.sku)).toEqual(['LR6', 'FR6'])
  })

  test('goes one way: the original is no substitute of it', () => {
    const lithium = need(LITHIUM, hard('sizeName', 'eq', 'FR6'), hard('chemistry', 'eq', 'lithium', true))
    const confirmed = { ...lithium, confirmed: ['device-lists-it'] }
    expect(matchParts(confirmed, [alkalineCell], [LISTED]).isNoMatch).toBe(true)
  })

  test('without it the other chemistry is refused as a matter of safety', () => {
    const { rejected } = matchParts(alkaline, [lithiumCell])
    expect(rejected[0]!.failed.some(({ isSafety }) => isSafety)).toBe(true)
  })

  test('is no chain: what may replace the substitute may not replace the original', () => {
    const swap = (required: number, candidate: number): Substitute => ({
      id: `${candidate}-for-${required}`,
      swaps: [{ attribute: 'capacityAh', required, candidate }],
      conditions: [],
      rank: 1,
    })
    const seven = need(CELL, hard('capacityAh', 'eq', 7))
    const rows = [7, 7.2, 7.5].map((value) => part(`${value}`, CELL, { capacityAh: value }))
    const { fits, nearMisses } = matchParts(seven, rows, [swap(7, 7.2), swap(7.2, 7.5)])
    expect([fits.map(({ item }) => item.sku), nearMisses.map(({ item }) => item.sku)]).toEqual([['7', '7.2'], ['7.5']])
  })

  test('stands for a presumed bound, never for one that is stated', () => {
    const more: Substitute = {
      id: 'a',
      swaps: [{ attribute: 'capacityAh', required: 7, candidate: 7.2 }],
      conditions: [],
      rank: 1,
    }
    const item = part('7.2', CELL, { capacityAh: 7.2 })
    const presumed = need(CELL, { ...hard('capacityAh', 'max', 7), kind: 'confirm' })
    expect(matchParts(presumed, [item]).confirmFirst).toHaveLength(1)
    expect(matchParts(presumed, [item], [more]).fits).toHaveLength(1)
    expect(matchParts(need(CELL, hard('capacityAh', 'max', 7)), [item], [more]).fits).toEqual([])
  })

  test('never worsens an item’s verdict, whatever the world', () => {
    const rank = { fits: 0, 'needs-confirmation': 1, 'near-miss': 2, rejected: 3 }
    const any: Substitute[] = [
      { id: 'a', swaps: [{ attribute: 'terminal', required: 'F1', candidate: 'F2' }], conditions: [], rank: 1 },
      { id: 'b', swaps: [{ attribute: 'capacityAh', required: 7, candidate: 7.2 }], conditions: ['x'], rank: 3 },
    ]
    const of = (result: ReturnType<typeof matchParts>) =>
      new Map(
        [...result.fits, ...result.confirmFirst, ...result.nearMisses, ...result.rejected].map(({ item, verdict }) => [
          item.sku,
          rank[verdict],
        ]),
      )
    fc.assert(
      fc.property(anyRequirement, anyItems, (requirement, items) => {
        const [plain, wider] = [of(matchParts(requirement, items)), of(matchParts(requirement, items, any))]
        for (const [sku, verdict] of plain) expect(wider.get(sku)).toBeLessThanOrEqual(verdict)
      }),
    )
  })

  test('gives up nothing but what it swaps: every other demand stands in its requirement as it was', () => {
    fc.assert(
      fc.property(anyRequirement, (requirement) => {
        const any: Substitute = {
          id: 'a',
          swaps: [{ attribute: 'terminal', required: 'F1', candidate: 'F2' }],
          conditions: [],
          rank: 1,
        }
        for (const { requirement: other } of substituteRequirements(requirement, [any]))
          expect(other.constraints.filter(({ attribute }) => attribute !== 'terminal')).toEqual(
            requirement.constraints.filter(({ attribute }) => attribute !== 'terminal'),
          )
      }),
    )
  })
})

describe('a kit', () => {
  const ADAPTER = 'part-class/adapter'
  const tab: Substitute = {
    id: 'f2-for-f1',
    swaps: [{ attribute: 'terminal', required: 'F1', candidate: 'F2' }],
    conditions: [],
    rank: 2,
    with: { partClass: ADAPTER, attributes: { batteryTab: 'F2', leadSocket: 'F1' }, quantity: 2 },
  }
  const f1 = need(CELL, hard('terminal', 'in', ['F1']))
  const money = { currency: 'EUR', packQuantity: 1 }
  const battery = part('F2', CELL, { terminal: 'F2' }, { priceMinor: 2000, stock: 3, ...money })
  const adapter = part('AD', ADAPTER, { batteryTab: 'F2', leadSocket: 'F1' }, { priceMinor: 90, stock: 2, ...money })
  const kitsOf = (requirement: Requirement, items: Item[]) =>
    completingKits(matchParts(requirement, items), requirement, items, [tab])

  test('completes a near miss with its piece: sum of the prices, stock of both', () => {
    const [kit] = kitsOf(f1, [battery, adapter])
    expect(kit!.lines.map(({ item }) => item.sku)).toEqual(['F2', 'AD'])
    expect(kit).toMatchObject({ substitute: 'f2-for-f1', totalPriceMinor: 2180, currency: 'EUR', isInStock: true })
    expect(matchParts(f1, [battery, adapter]).fits).toEqual([])
  })

  test.each<[string, Requirement, Item[]]>([
    ['no adapter is allowed', { ...f1, adaptersAllowed: false }, [battery, adapter]],
    [
      'the adapter is the other way round',
      f1,
      [battery, { ...adapter, attributes: { batteryTab: 'F1', leadSocket: 'F2' } }],
    ],
    ['the adapter’s tab is not known', f1, [battery, { ...adapter, attributes: { leadSocket: 'F1' } }]],
    ['the item has another terminal', f1, [{ ...battery, attributes: { terminal: 'M5' } }, adapter]],
    [
      'something else of the item is unknown',
      need(CELL, ...f1.constraints, hard('heightMm', 'max', 9)),
      [battery, adapter],
    ],
  ])('is not made where %s', (_, requirement, items) => {
    expect(kitsOf(requirement, items)).toEqual([])
  })

  test('has the sum of its prices and is in stock when all lines are, whatever the lines', () => {
    const line = fc.record(
      {
        priceMinor: fc.nat(5000),
        currency: fc.constantFrom('EUR', 'USD'),
        stock: fc.nat(3),
        packQuantity: fc.integer({ min: 1, max: 3 }),
      },
      { requiredKeys: [] },
    )
    fc.assert(
      fc.property(fc.array(line, { minLength: 1, maxLength: 4 }), (rows) => {
        const lines = rows.map((row, at) => matchParts(need(CELL), [part(`${at}`, CELL, {}, row)]).fits[0]!)
        const kit = kitOf(lines)
        if (kit.totalPriceMinor !== undefined)
          expect(kit.totalPriceMinor).toBe(lines.reduce((sum, one) => sum + one.item.priceMinor!, 0))
        const isAlike = new Set(lines.map(({ item }) => item.currency)).size === 1 && lines[0]!.item.currency
        const isPriced = lines.every(({ totalPriceMinor }) => totalPriceMinor !== undefined)
        expect(kit.totalPriceMinor !== undefined).toBe(Boolean(isAlike) && isPriced)
        expect(kit.isInStock === true).toBe(lines.every(({ isInStock }) => isInStock === true))
        expect(kit.isInStock === false).toBe(lines.some(({ isInStock }) => isInStock === false))
      }),
    )
  })
})
