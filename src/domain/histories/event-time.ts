const MS_PER_MINUTE = 60_000

/** A time as an event list writes it. */
export interface WrittenTime {
  /** What the clock showed, counted as if it were UTC [ms since 1970-01-01T00:00]. */
  clockMs: number
  /** Minutes that the written clock is ahead of UTC; none when the time names no offset. */
  offsetMinutes?: number
}

const FORM = /^(\d{4})-(\d{2})-(\d{2})[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s?(Z|[+-]\d{2}:?\d{2})?$/i

/** The calendar repeats after 400 years; counted from there, since Date.UTC reads years below 100 as 19xx. */
const CYCLE_YEARS = 400
const CYCLE_MS = 146_097 * 86_400_000

const isLeap = (year: number) => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0
const DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
const daysIn = (year: number, month: number) => (month === 2 && isLeap(year) ? 29 : (DAYS[month - 1] ?? 0))

/** Minutes of "Z", "+01:00" or "-0330"; nothing for one past 14 hours, which no place has. */
function offsetOf(written: string): number | undefined {
  if (written.toUpperCase() === 'Z') return 0
  const digits = written.replace(':', '')
  const minutes = Number(digits.slice(1, 3)) * 60 + Number(digits.slice(3, 5))
  if (minutes > 14 * 60 || Number(digits.slice(3, 5)) > 59) return undefined
  return digits.startsWith('-') ? -minutes : minutes
}

/** Whether a text has the form of a time, whatever its numbers. */
export const hasTimeForm = (text: string): boolean => FORM.test(text.trim())

/**
 * A date and time of ISO 8601 / RFC 3339, with or without an offset; seconds may be left out and a space may stand for T.
 *
 * @returns nothing when the text has another form, or when no calendar or clock has such a time: 31 February, 25:00
 * @validity years 0000 to 9999 of the Gregorian calendar; a second of 60 counts as 59
 * @source RFC 3339 5.6 (from memory)
 * @example parseEventTime('2026-03-01T03:04+01:00') // { clockMs: 1772334240000, offsetMinutes: 60 }
 */
export function parseEventTime(text: string): WrittenTime | undefined {
  const match = FORM.exec(text.trim())
  if (!match) return undefined
  const [year, month, day, hour, minute, second] = match.slice(1, 7).map((part) => Number(part ?? 0)) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  const isReal = day >= 1 && day <= daysIn(year, month) && hour <= 23 && minute <= 59 && second <= 60
  if (!isReal) return undefined
  const milliseconds = Math.floor(Number(`0.${match[7] ?? '0'}`) * 1000)
  const clockMs =
    Date.UTC(year + CYCLE_YEARS, month - 1, day, hour, minute, Math.min(59, second), milliseconds) - CYCLE_MS
  if (match[8] === undefined) return { clockMs }
  const offsetMinutes = offsetOf(match[8])
  return offsetMinutes === undefined ? undefined : { clockMs, offsetMinutes }
}

/** The moment of a written time that names its offset [ms since 1970 UTC]. */
export const momentOf = (clockMs: number, offsetMinutes: number) => clockMs - offsetMinutes * MS_PER_MINUTE
