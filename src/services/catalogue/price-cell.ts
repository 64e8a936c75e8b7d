import { minorDigits } from '../../domain/parts/currencies.ts'
import type { Item } from '../../domain/parts/types.ts'
import type { Cells } from './cells.ts'
import { type DecimalMark, readNumber } from './numbers.ts'

const WITH_CODE = /^(?:([A-Z]{3})\s*)?(-?[\d.,]+)(?:\s*([A-Z]{3}))?$/
/** As large as a safe whole number of minor units may be. */
const HIGHEST = 1e12

function amountOf(cells: Cells, text: string, digits: number, mark?: DecimalMark): number | undefined {
  const read = readNumber(text, mark)
  if (read !== undefined && 'either' in read) {
    // A currency with three decimals makes one of the two meanings the only one.
    if (digits === 3) return Math.round(Number(read.either[1]) * 1000)
    const [whole, decimal] = read.either
    return cells.refuse(
      'price',
      'PRICE_INVALID',
      `may mean ${whole} or ${decimal}`,
      `${whole}${digits ? `.${'0'.repeat(digits)}` : ''}`,
    )
  }
  const decimals = /[.,](\d+)$/.exec(text)?.[1]?.length ?? 0
  const isGroup = read !== undefined && Number.isInteger(read.number) && decimals === 3
  if (read === undefined || read.number < 0 || read.number > HIGHEST || (decimals > digits && !isGroup))
    return cells.refuse('price', 'PRICE_INVALID', `must be a number of at least 0 with at most ${digits} decimals`)
  return Math.round(read.number * 10 ** digits)
}

/** The price of a row with its currency: from its own column, from "12.50 EUR", or the one that holds for the file. */
export function readPrice(cells: Cells, byDefault?: string, mark?: DecimalMark): Pick<Item, 'priceMinor' | 'currency'> {
  const minor = cells.get('priceMinor')
  const text = cells.text('price')
  const column = cells.text('currency').toUpperCase()
  if (text === '' && minor === undefined) return {}
  const [, before, amount = text, after] = WITH_CODE.exec(text) ?? []
  const written = before ?? after
  if (written !== undefined && column !== '' && written !== column) {
    cells.refuse('price', 'PRICE_INVALID', `is in ${written}, but the column says ${column}`)
    return {}
  }
  const currency = written ?? (column || byDefault) ?? ''
  const digits = minorDigits(currency)
  if (digits === undefined) {
    cells.refuse('currency', 'CURRENCY_UNKNOWN', 'must be an ISO 4217 code such as EUR where a price is given')
    return {}
  }
  if (minor !== undefined) {
    if (Number.isSafeInteger(minor) && Number(minor) >= 0) return { priceMinor: Number(minor), currency }
    cells.refuse('priceMinor', 'PRICE_INVALID', 'must be a whole number of at least 0')
    return {}
  }
  const priceMinor = amountOf(cells, amount, digits, mark)
  return priceMinor === undefined ? {} : { priceMinor, currency }
}
