import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { PublishedCause } from '../../../src/domain/learning/learn.ts'
import { capOfShare, pooledRates, poolCounts as poolOf } from '../../../src/domain/learning/pool.ts'
import { noCounts, type WeighedCounts } from '../../../src/domain/learning/weigh.ts'

const published: PublishedCause[] = [
  { id: 'worn', prior: 0.1, isPerDevice: false },
  { id: 'outage', prior: 0.05, isPerDevice: false },
  { id: 'rare', prior: 0.002, isPerDevice: false },
  { id: 'cell', prior: 0.03, isPerDevice: true },
]
const poolCounts = (shops: readonly WeighedCounts[]) => poolOf(shops, (cause) => cause === 'cell')
/** A shop with so many known calls and confirmed cases. */
function shop(calls: number, cases: Record<string, number> = {}): WeighedCounts {
  const counts = noCounts()
  counts.calls.known = calls
  for (const [cause, confirmed] of Object.entries(cases))
    counts.causes.set(cause, { cause, confirmed, claimed: 0, claimedAmongKnown: 0 })
  return counts
}
const five = () => [1, 2, 3, 4, 5].map(() => shop(100, { worn: 30 }))
const ratesFor = (shops: WeighedCounts[], at: number) => {
  const made = poolCounts(shops)
  return made === undefined ? undefined : pooledRates(made.pool, made.shares[at], published)
}

describe('a pool', () => {
  test('is not made of four shops, and is made of five', () => {
    expect(poolCounts(five().slice(0, 4))).toBeUndefined()
    expect(poolCounts(five())?.pool.shops).toBe(5)
  })

  test('is not made when one of five has too few calls to be hidden among', () => {
    expect(poolCounts([...five().slice(0, 4), shop(19, { worn: 19 })])).toBeUndefined()
    const six = poolCounts([...five(), shop(19, { worn: 19 })])!
    expect([six.pool.shops, six.shares[5]!.calls.known]).toEqual([5, 0])
  })

  test('gives each shop what the others say, not what it gave itself', () => {
    const shops = [shop(100, { worn: 100 }), ...five().slice(0, 4)]
    const other = [shop(100, { worn: 0 }), ...five().slice(0, 4)]
    expect(ratesFor(shops, 0)!.get('worn')).toBe(ratesFor(other, 0)!.get('worn'))
    expect(ratesFor(shops, 1)!.get('worn')!).toBeGreaterThan(ratesFor(other, 1)!.get('worn')!)
  })

  test('says nothing of a cause that fewer than three of the others confirmed: none, one and two look alike', () => {
    const seenBy = (count: number) =>
      five().map((counts, at) => (at > 0 && at <= count ? shop(100, { worn: 30, rare: 5 }) : counts))
    for (const count of [0, 1, 2]) expect(ratesFor(seenBy(count), 0)!.has('rare'), `${count}`).toBe(false)
    expect(ratesFor(seenBy(3), 0)!.get('rare')!).toBeGreaterThan(0.002)
    expect(ratesFor(seenBy(3), 1)!.has('rare'), 'its own case does not make up the three').toBe(false)
  })

  test('rounds its rates to two digits', () => {
    for (const rate of ratesFor(five(), 0)!.values()) expect(rate).toBe(Number(rate.toPrecision(2)))
  })

  test('is not moved far by one shop that floods it', () => {
    const honest = ratesFor([...five(), shop(100, { worn: 30 })], 0)!.get('worn')!
    const flooded = ratesFor([...five(), shop(1e6, { worn: 1e6 })], 0)!.get('worn')!
    // At most a quarter of the pool, a third of the four other shops and the flood less the asking one.
    expect(flooded).toBeLessThan(honest + 0.3)
    expect(ratesFor([...five(), shop(1e6, { worn: 1e6 })], 0)).toEqual(
      ratesFor([...five(), shop(1e9, { worn: 1e9 })], 0),
    )
  })

  test('is not drowned by one shop that closes calls without a cause', () => {
    const alone = ratesFor([...five(), shop(100, { worn: 30 })], 0)!.get('worn')!
    const idle = shop(20)
    idle.calls.unknown = 1e6
    // A third of what the asking one is told, at the published rate; two digits.
    const drowned = ratesFor([...five(), idle], 0)!.get('worn')!
    expect(drowned).toBeLessThan(alone)
    expect(drowned).toBeGreaterThan(0.1 + 0.6 * (alone - 0.1))
  })

  test('speaks of devices only where five shops have any, and holds each to its share of them', () => {
    const withDevices = (devices: number, cell: number) => {
      const counts = shop(100, { worn: 30, cell })
      counts.devices.known = devices
      return counts
    }
    const alike = [1, 2, 3, 4].map(() => withDevices(200, 20))
    expect(ratesFor([...alike, shop(100, { worn: 30 })], 0)!.has('cell')).toBe(false)
    const honest = ratesFor([...alike, withDevices(200, 20)], 0)!.get('cell')!
    expect(honest).toBeCloseTo(0.1, 1)
    const flooded = ratesFor([...alike, withDevices(1e6, 1e6)], 0)!.get('cell')!
    expect(flooded).toBeLessThan(honest + 0.34)
    expect(flooded).toBeGreaterThan(honest)
  })

  test('is the same for every order of the shops, to its two digits', () => {
    const shops = [20, 55, 300, 41, 1000, 77].map((calls, at) => shop(calls, { worn: calls / (at + 3), outage: 3 }))
    fc.assert(
      fc.property(fc.shuffledSubarray([1, 2, 3, 4, 5], { minLength: 5 }), (order) => {
        expect(ratesFor([shops[0]!, ...order.map((at) => shops[at]!)], 0)).toEqual(ratesFor(shops, 0))
      }),
    )
  })
})

describe('the cap on one shop', () => {
  test('holds each to a quarter of what is counted, and cuts no more than it must', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 20, max: 1e6, noNaN: true }), { minLength: 5, maxLength: 40 }), (calls) => {
        const cap = capOfShare(calls)
        const counted = calls.map((value) => Math.min(value, cap))
        const total = counted.reduce((sum, value) => sum + value, 0)
        expect(Math.max(...counted)).toBeLessThanOrEqual(0.25 * total * (1 + 1e-9))
        if (Math.max(...calls) > cap) expect(Math.max(...counted)).toBeGreaterThanOrEqual(0.25 * total * (1 - 1e-9))
      }),
    )
  })

  test('is worked out for one large shop by hand', () => {
    expect(capOfShare([10, 10, 10, 10, 1000])).toBeCloseTo(40 / 3, 12)
  })
})
