import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type MatchResult, matchParts } from '../../../src/domain/parts/match.ts'
import type { Constraint, Item, Requirement } from '../../../src/domain/parts/types.ts'
import { anyItems, anyRequirement } from '../../support/part-worlds.ts'

const all = ({ fits, confirmFirst, nearMisses, rejected }: MatchResult) => [
  ...fits,
  ...confirmFirst,
  ...nearMisses,
  ...rejected,
]
const verdicts = (result: MatchResult) => new Map(all(result).map(({ item, verdict }) => [item.sku, verdict]))

const hard = (attribute: string, op: Constraint['op'], value: Constraint['value'], to?: number): Constraint => ({
  attribute,
  op,
  value,
  ...(to === undefined ? {} : { to }),
  kind: 'hard',
  isSafety: attribute === 'nominalVoltageV',
  origin: 'test',
})
const need = (...constraints: Constraint[]): Requirement => ({
  partClass: 'part-class/vrla-battery-12v',
  constraints,
  quantity: 1,
  adaptersAllowed: false,
})
const part = (attributes: Item['attributes'], more: Partial<Item> = {}): Item => ({
  sku: 'P',
  partClass: 'part-class/vrla-battery-12v',
  title: 'a part',
  attributes,
  ...more,
})

describe('a verdict says why', () => {
  test('a near miss names both values and the danger, and offers an adapter only where one is allowed', () => {
    const requirement = need(hard('terminal', 'in', ['F1']))
    const [miss] = matchParts(requirement, [part({ terminal: 'F2' })]).nearMisses
    expect(miss!.relaxation).toMatchObject({ attribute: 'terminal', required: 'F1', found: 'F2' })
    expect(miss!.relaxation.danger).toMatch(/heats up/)
    expect(miss!.fix).toBeUndefined()
    const lenient = { ...requirement, adaptersAllowed: true }
    expect(matchParts(lenient, [part({ terminal: 'F2' })]).nearMisses[0]!.fix).toMatch(/adapter/)
  })

  test('rejections are counted with matters of safety first', () => {
    const requirement = need(
      hard('nominalVoltageV', 'eq', 12),
      hard('widthMm', 'max', 66),
      hard('heightMm', 'max', 101),
    )
    const sixVolt = part({ nominalVoltageV: 6, widthMm: 65, heightMm: 100 }, { sku: 'six' })
    const large = part({ nominalVoltageV: 12, widthMm: 99, heightMm: 120 }, { sku: 'large' })
    expect(matchParts(requirement, [large, sixVolt]).rejections).toEqual([
      { attribute: 'nominalVoltageV', isSafety: true, count: 1 },
      { attribute: 'heightMm', isSafety: false, count: 1 },
      { attribute: 'widthMm', isSafety: false, count: 1 },
    ])
  })

  test('"none" is an answer, and a range that misses is told as a range', () => {
    const requirement = need(hard('supplyVoltageV', 'covers', 11, 14))
    const having = (attributes: Item['attributes']) => verdicts(matchParts(requirement, [part(attributes)])).get('P')
    expect(having({ supplyVoltageV: 'none' })).toBe('near-miss')
    expect(having({})).toBe('needs-confirmation')
    expect(having({ supplyVoltageV: { min: 10, max: 15 } })).toBe('fits')
    const [miss] = matchParts(requirement, [part({ supplyVoltageV: { min: 12, max: 15 } })]).nearMisses
    expect(miss!.relaxation).toMatchObject({ required: 'covers 11 to 14', found: '12 to 15' })
  })

  test('one stated voltage near the range is a question, far from it a failure', () => {
    const requirement = need(hard('supplyVoltageV', 'covers', 11, 14))
    const having = (supplyVoltageV: number) => verdicts(matchParts(requirement, [part({ supplyVoltageV })])).get('P')
    expect([12, 9, 16.5].map(having)).toEqual(['needs-confirmation', 'needs-confirmation', 'needs-confirmation'])
    expect([6, 24].map(having)).toEqual(['near-miss', 'near-miss'])
    const exact = need(hard('inputVoltageV', 'covers', 230))
    const fed = (inputVoltageV: Item['attributes'][string]) =>
      verdicts(matchParts(exact, [part({ inputVoltageV })])).get('P')
    expect([230, { min: 100, max: 240 }, 240, 120].map(fed)).toEqual([
      'fits',
      'fits',
      'needs-confirmation',
      'near-miss',
    ])
  })

  test('a caller’s word that happens to name a method of objects is an unknown attribute', () => {
    expect(verdicts(matchParts(need(hard('constructor', 'eq', 'x')), [part({})])).get('P')).toBe('needs-confirmation')
  })

  test('packs cover the need, and an unknown pack is not taken to be one', () => {
    const three = { ...need(), quantity: 3 }
    const packed = part({}, { packQuantity: 2, stock: 1, priceMinor: 900 })
    expect(matchParts(three, [packed]).fits[0]).toMatchObject({
      packsNeeded: 2,
      surplus: 1,
      totalPriceMinor: 1800,
      isInStock: false,
    })
    expect(matchParts(three, [part({}, { stock: 9, priceMinor: 900 })]).fits[0]).not.toHaveProperty('packsNeeded')
  })

  test.each([0, -1, 1.5, Number.NaN, Number.POSITIVE_INFINITY])('%s pieces are refused', (quantity) => {
    const refusal = expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' })
    expect(() => matchParts({ ...need(), quantity }, [])).toThrow(refusal)
    expect(() => matchParts(need(), [part({}, { packQuantity: quantity })])).toThrow(refusal)
  })
})

describe('whatever the parts', () => {
  test('every item gets one verdict, and any shuffle gives the same answer', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, fc.infiniteStream(fc.nat()), (requirement, items, keys) => {
        const result = matchParts(requirement, items)
        const shuffled = items.map((item) => ({ item, key: keys.next().value! })).sort((a, b) => a.key - b.key)
        expect(all(result)).toHaveLength(items.length)
        const again = matchParts(
          requirement,
          shuffled.map(({ item }) => item),
        )
        expect(again).toEqual(result)
      }),
    )
  })

  test('an item that fits was never refused while less was known of it', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, fc.constantFrom('capacityAh', 'terminal'), (requirement, items, name) => {
        const unknown = items.map(({ attributes: { [name]: _, ...attributes }, ...item }) => ({ ...item, attributes }))
        const before = verdicts(matchParts(requirement, unknown))
        for (const { item } of matchParts(requirement, items).fits)
          expect(['fits', 'needs-confirmation']).toContain(before.get(item.sku))
      }),
    )
  })

  test('no fit has a failed or unknown constraint, and each near miss has one failure that is no matter of safety', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, (requirement, items) => {
        const { fits, nearMisses } = matchParts(requirement, items)
        for (const { failed, unknown } of fits) expect([...failed, ...unknown]).toEqual([])
        for (const { failed } of nearMisses) expect(failed.map(({ isSafety }) => isSafety)).toEqual([false])
      }),
    )
  })

  test('no minimal relaxation contains another', () => {
    fc.assert(
      fc.property(anyRequirement, anyItems, (requirement, items) => {
        const sets = matchParts(requirement, items).minimalRelaxations
        for (const a of sets)
          for (const b of sets) if (a !== b) expect(a.every((attribute) => b.includes(attribute))).toBe(false)
      }),
    )
  })

  test('another unit on both sides leaves the verdict as it was', () => {
    const lengths = fc.array(fc.constantFrom(97, 101, 150.9, 151, 151.1, 178), { maxLength: 8 })
    const units = fc.constantFrom(0.1, 0.001, 1000, 1 / 25.4, 1 / 3)
    fc.assert(
      fc.property(lengths, fc.constantFrom(97, 151, 178), units, (values, limit, factor) => {
        const judged = (scale: number) => {
          const items = values.map((value, index) => part({ lengthMm: value * scale }, { sku: `P-${index}` }))
          return verdicts(matchParts(need(hard('lengthMm', 'max', limit * scale)), items))
        }
        expect(judged(factor)).toEqual(judged(1))
      }),
    )
  })
})
