import type { Item } from './types.ts'

/** What a need costs in whole packs; every field is absent where the item does not say enough. */
export interface Packs {
  packsNeeded?: number
  surplus?: number
  totalPriceMinor?: number
  isInStock?: boolean
}

/**
 * Packs to buy, pieces left over [pieces] and what they cost [minor unit of the item's currency].
 *
 * packsNeeded = ceil(quantity / packQuantity); surplus = packsNeeded * packQuantity - quantity
 *
 * @param item - its pack quantity [pieces], stock [packs] and price of one pack [minor unit]
 * @param quantity - pieces needed, a whole number >= 1
 * @returns whole packs, pieces left over, price and whether the stock covers them
 * @validity an unknown pack quantity stays unknown: it is never taken to be one
 * @source arithmetic
 * @example packs({ sku: 'a', partClass: 'part-class/cell', title: '', attributes: {}, packQuantity: 4 }, 6).packsNeeded // 2
 */
export function packs(item: Item, quantity: number): Packs {
  if (item.packQuantity === undefined) return {}
  const packsNeeded = Math.ceil(quantity / item.packQuantity)
  return {
    packsNeeded,
    surplus: packsNeeded * item.packQuantity - quantity,
    ...(item.priceMinor === undefined ? {} : { totalPriceMinor: packsNeeded * item.priceMinor }),
    ...(item.stock === undefined ? {} : { isInStock: item.stock >= packsNeeded }),
  }
}
