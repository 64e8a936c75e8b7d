const TIMESTAMP = /^(\d\d):(\d\d):(\d\d),(\d\d)-(\d\d)-(\d{4})$/
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]

/** Oldest and newest timestamp that a receiver takes [s], against its own clock. From memory; the default of one library. */
export const WINDOW_S = { past: 40, future: 20 } as const

function daysIn(year: number, month: number): number {
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0)
  return month === 2 && isLeap ? 29 : (MONTH_DAYS[month - 1] ?? 0)
}

/** Whether date and time exist: no 30 February, no hour 24, no second 60. */
export function isDateTime(year: number, month: number, day: number, hour: number, minute: number, second: number) {
  return day >= 1 && day <= daysIn(year, month) && hour <= 23 && minute <= 59 && second <= 59
}

/**
 * The moment of a timestamp HH:MM:SS,MM-DD-YYYY, which is in UTC.
 *
 * @returns ISO 8601 with Z, or undefined for another form or a moment that does not exist
 * @source dc-09 2013, 5.5.2.1 (read in a draft)
 * @example momentOf('16:20:01,09-24-2025') // '2025-09-24T16:20:01Z'
 */
export function momentOf(timestamp: string): string | undefined {
  const [, hour, minute, second, month, day, year] = TIMESTAMP.exec(timestamp) ?? []
  if (year === undefined) return undefined
  if (!isDateTime(+year, +month!, +day!, +hour!, +minute!, +second!)) return undefined
  return `${year}-${month}-${day}T${hour}:${minute}:${second}Z`
}

/**
 * Whether a receiver takes a timestamp; where it does not, it answers NAK and the sender puts its clock right.
 *
 * -40 s <= timestamp - clock <= 20 s
 *
 * @param timestampMs - moment of the frame [ms since 1970]
 * @param clockMs - moment of the receiver [ms since 1970]
 * @validity required of encrypted frames; a log that is read later has no clock to hold it against
 * @source from memory; the default of one public library
 * @example isWithinWindow(0, 41_000) // false
 */
export function isWithinWindow(timestampMs: number, clockMs: number): boolean {
  const aheadS = (timestampMs - clockMs) / 1000
  return aheadS >= -WINDOW_S.past && aheadS <= WINDOW_S.future
}
