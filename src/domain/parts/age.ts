import type { Item } from './types.ts'

const DAY_MS = 86_400_000
/** Mean Gregorian month [d]: 365.2425 / 12. */
const DAYS_A_MONTH = 30.436875

const dayOf = (date: string): number => Date.parse(`${date.slice(0, 10)}T00:00:00Z`)

/**
 * Months since an item was made, in months.
 *
 * months = (day - madeOn) / mean Gregorian month
 *
 * @param madeOn - day of making as YYYY-MM-DD
 * @param on - day of the sale as YYYY-MM-DD
 * @returns undefined where either is no date or the item would be made in the future
 * @source mean Gregorian month of 365.2425 / 12 days, from memory
 * @example ageMonths('2026-01-01', '2026-07-02') // 5.98
 */
export function ageMonths(madeOn: string, on: string): number | undefined {
  const months = (dayOf(on) - dayOf(madeOn)) / DAY_MS / DAYS_A_MONTH
  return months >= 0 ? months : undefined
}

/** An item with `shelfMonths` worked out from the day it was made, where it does not state them itself. */
export function withAge(item: Item, on: string | undefined): Item {
  const isStated = Object.hasOwn(item.attributes, 'shelfMonths')
  const months = isStated || on === undefined || item.madeOn === undefined ? undefined : ageMonths(item.madeOn, on)
  if (months === undefined) return item
  return { ...item, attributes: { ...item.attributes, shelfMonths: Math.floor(months) } }
}
