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

/** What to say about an item's packs, stock and price before it is sold. */
export function warningsOf(item: Item, quantity: number): string[] {
  const { packsNeeded, surplus = 0, isInStock } = packs(item, quantity)
  const warnings: string[] = []
  if (packsNeeded === undefined) warnings.push('How many pieces a pack holds is not stated.')
  if (surplus > 0) warnings.push(`${surplus} more than needed, because of the pack size.`)
  if (isInStock === false) warnings.push(`Only ${item.stock} in stock where ${packsNeeded} are needed.`)
  if (item.stock === undefined) warnings.push('Stock is not stated.')
  if (item.priceMinor === undefined) warnings.push('Price is not stated.')
  return warnings
}
