import { isDateTime } from './dc09-time.ts'
import { problemOf, type Remarks } from './remarks.ts'

/** A date and a time in front of a line, in brackets or not, as logs write them. */
const STAMP =
  /^\[?(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d):(\d\d)(?:\.\d{1,9})?(Z|[+-](?:[01]\d|2[0-3]):[0-5]\d)?\]?[ \t:;,]+(?=\S)/

/**
 * The moment in front of a line of a log, and the line without it.
 *
 * @returns no moment where the stamp has no offset from UTC: it could be of any zone
 * @source ISO 8601 extended format, as RFC 3339 narrows it
 * @example readStamp('2027-02-28T03:15:20Z 1234181301000006', remarks)
 */
export function readStamp(line: string, remarks: Remarks): { at?: string; rest: string } {
  const found = STAMP.exec(line)
  if (!found) return { rest: line }
  const [stamp, year, month, day, hour, minute, second, offset] = found
  const rest = line.slice(stamp.length)
  if (!isDateTime(+year!, +month!, +day!, +hour!, +minute!, +second!)) return { rest }
  if (offset !== undefined) return { at: `${year}-${month}-${day}T${hour}:${minute}:${second}${offset}`, rest }
  remarks.note(problemOf('TIME_WITHOUT_ZONE', 'time of the line', 'with Z or an offset from UTC', stamp.trim()))
  return { rest }
}
