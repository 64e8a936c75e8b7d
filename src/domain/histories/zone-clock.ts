import { DomainError } from '../errors.ts'

const DAY_MS = 86_400_000
/** Clocks of every zone have changed on a whole quarter of an hour since 1990. From the public time-zone database, from memory. */
const STEP_MS = 900_000
/** Days whose offset is kept; a longer history starts afresh. */
const MOST_DAYS = 20_000

export type LocalKind = 'plain' | 'twice' | 'never'
export interface FromLocal {
  atMs: number
  /** "twice": the hour that comes again when summer time ends; "never": the hour that is skipped when it begins. */
  kind: LocalKind
}

/** "GMT", "GMT+01:00" or "GMT-00:44:30" as milliseconds ahead of UTC. */
function offsetOf(name: string): number {
  const [, sign, hours = '0', minutes = '0', seconds = '0'] = /GMT([+-])(\d{2}):(\d{2})(?::(\d{2}))?/.exec(name) ?? []
  const size = (Number(hours) * 3600 + Number(minutes) * 60 + Number(seconds)) * 1000
  return sign === '-' ? -size : size
}

/** No name of a zone is longer, and none begins with a sign: "+02:00" is an offset and knows no summer time. */
const ZONE_NAME = /^[A-Za-z][\w+\-/]{0,63}$/

function formatterOf(zone: string): Intl.DateTimeFormat {
  try {
    if (ZONE_NAME.test(zone))
      return new Intl.DateTimeFormat('en-US', { timeZone: zone, timeZoneName: 'longOffset', hourCycle: 'h23' })
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
  }
  throw new DomainError('UNKNOWN_ID', `zone must be a name of the IANA time-zone database, got ${zone}`, {
    path: '/zone',
    limit: 'such as Europe/Madrid or America/Chicago',
    value: zone,
  })
}

/**
 * Civil time of a place: what the clock on its wall shows at a moment, summer time included, and the way back.
 *
 * local = moment + offset of the zone at that moment
 *
 * @throws DomainError UNKNOWN_ID for a name that the time-zone database does not have
 * @validity moments from 1990 on; the rules are those that the host's copy of the database knows
 * @source IANA time-zone database, through ECMA-402
 * @example new ZoneClock('Europe/Madrid').localMs(Date.UTC(2026, 6, 1)) // two hours more
 */
export class ZoneClock {
  readonly #format: Intl.DateTimeFormat
  readonly #byDay = new Map<number, number | 'changes'>()

  constructor(zone: string) {
    this.#format = formatterOf(zone)
  }

  #exact(atMs: number): number {
    const name = this.#format.formatToParts(atMs).find(({ type }) => type === 'timeZoneName')
    return offsetOf(name?.value ?? 'GMT')
  }

  /** Most days have one offset, so two look-ups serve all their events. */
  #offsetMs(atMs: number): number {
    const day = Math.floor(atMs / DAY_MS)
    let known = this.#byDay.get(day)
    if (known === undefined) {
      const [start, end] = [this.#exact(day * DAY_MS), this.#exact((day + 1) * DAY_MS)]
      known = start === end ? start : 'changes'
      if (this.#byDay.size >= MOST_DAYS) this.#byDay.clear()
      this.#byDay.set(day, known)
    }
    return known === 'changes' ? this.#exact(Math.floor(atMs / STEP_MS) * STEP_MS) : known
  }

  /** What the clock of the zone shows, counted as if it were UTC [ms]. */
  localMs(atMs: number): number {
    return atMs + this.#offsetMs(atMs)
  }

  /**
   * The moment at which the clock shows a time: the first of two, and as if the clock had not been put forward where it
   * skips the time.
   */
  fromLocal(localMs: number): FromLocal {
    const before = this.#offsetMs(localMs - DAY_MS)
    const after = this.#offsetMs(localMs + DAY_MS)
    const fits = [...new Set([before, after])].filter((offset) => this.#offsetMs(localMs - offset) === offset)
    if (fits.length === 0) return { atMs: localMs - before, kind: 'never' }
    return { atMs: localMs - Math.max(...fits), kind: fits.length > 1 ? 'twice' : 'plain' }
  }
}
