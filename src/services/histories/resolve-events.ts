import { hasTimeForm, parseEventTime } from '../../domain/histories/event-time.ts'
import type { EventState, HistoryEvent } from '../../domain/histories/types.ts'
import type { CrosswalkCode } from '../../ontology/crosswalk.ts'
import type { Release } from '../../ontology/release.ts'
import { schemeNames } from '../crosswalks.ts'
import { findingOfSignal } from '../signal-findings.ts'
import type { Wording } from '../texts.ts'
import { type EventFault, faultAt, MOST_FAULTS, type RawEvent } from './raw-event.ts'

/** Words that stand for a coming and for a going; upper and lower case are alike. */
export type StateWords = Record<EventState, readonly string[]>
export const PLAIN_STATES: StateWords = { trouble: ['trouble'], restore: ['restore'] }

/** What a kind of event is: a condition, or a code that no one condition answers to. */
export interface Kind {
  condition?: string
  scheme?: string
  code?: string
  label: string
}
export interface Resolved {
  events: HistoryEvent[]
  kinds: Map<string, Kind>
  faults: EventFault[]
}

const TIME = 'must be a time such as 2026-03-01T03:04 or 2026-03-01T03:04:05+01:00'
const LONGEST_DEVICE = 64

interface Code extends CrosswalkCode {
  /** The troubles whose end it reports. */
  ends: string[]
}

/** Kinds by what was sent, each looked up once. */
class KindReader {
  readonly kinds = new Map<string, Kind>()
  readonly #wording: Wording
  readonly #codes = new Map<string, Map<string, Code>>()

  constructor(wording: Wording) {
    this.#wording = wording
    for (const { scheme, codes } of wording.release.ontology.crosswalks) {
      const troubles = new Set(codes.filter(({ trouble }) => trouble).map(({ code }) => code))
      const endsOf = ({ restoralOf = [] }: CrosswalkCode) => {
        const ofTroubles = restoralOf.filter((code) => troubles.has(code))
        return ofTroubles.length > 0 ? ofTroubles : restoralOf
      }
      this.#codes.set(scheme, new Map(codes.map((code) => [code.code, { ...code, ends: endsOf(code) }])))
    }
  }

  get release(): Release {
    return this.#wording.release
  }

  condition(id: string): string | undefined {
    if (this.kinds.has(id)) return id
    if (this.release.concepts.get(id)?.kind !== 'condition') return undefined
    this.kinds.set(id, { condition: id, label: this.#wording.label(id) })
    return id
  }

  hasScheme(scheme: string): boolean {
    return this.#codes.has(scheme)
  }

  code(scheme: string, code: string): Code | undefined {
    return this.#codes.get(scheme)?.get(code)
  }

  /** The condition that a code stands for, or the code itself where it stands for none or for several. */
  kindOfCode(scheme: string, code: Code): string {
    const own = `${scheme} ${code.code}`
    const finding = findingOfSignal(this.release, { scheme, code: code.code, state: 'present' }, 0)
    if (finding.kind === 'condition') return this.condition(finding.condition)!
    if (!this.kinds.has(own))
      this.kinds.set(own, { scheme, code: code.code, label: `${this.#wording.say(code.title)} (${code.code})` })
    return own
  }
}

/** One raw event: its faults noted, its kind and state found. A restoral code ends what it restores. */
class EventResolver {
  readonly faults: EventFault[] = []
  readonly #reader: KindReader
  readonly #states: Map<string, EventState>
  readonly #kindOfCode = new Map<string, string>()

  constructor(reader: KindReader, states: StateWords) {
    this.#reader = reader
    const words = (state: EventState) => states[state].map((word) => [word.toLowerCase(), state] as const)
    this.#states = new Map([...words('trouble'), ...words('restore')])
  }

  #state(raw: RawEvent): EventState | undefined {
    const state = this.#states.get(raw.state?.toLowerCase() ?? '')
    if (state) return state
    const limit = [...this.#states.keys()].join(', ')
    this.faults.push(faultAt(raw, 'state', `must be one of ${limit}`, { limit, value: raw.state ?? 'nothing' }))
    return undefined
  }

  #unknown(raw: RawEvent, field: 'condition' | 'scheme' | 'code', value: string, limit: string): undefined {
    this.faults.push(faultAt(raw, field, `must be one of ${limit}`, { code: 'UNKNOWN_ID', limit, value }))
  }

  #ofCode(raw: RawEvent, scheme: string, code: string): { kinds: string[]; state: EventState | undefined } | undefined {
    const found = this.#reader.code(scheme, code)
    if (!this.#reader.hasScheme(scheme))
      return this.#unknown(raw, 'scheme', scheme, schemeNames(this.#reader.release).join(', '))
    if (!found) return this.#unknown(raw, 'code', code, `the codes of ${scheme}`)
    if (found.ends.length === 0) return { kinds: [this.#kind(scheme, found)], state: this.#state(raw) }
    const ended = found.ends.flatMap((end) => this.#reader.code(scheme, end) ?? [])
    return { kinds: [...new Set(ended.map((each) => this.#kind(scheme, each)))], state: 'restore' }
  }

  #kind(scheme: string, code: Code): string {
    const name = `${scheme} ${code.code}`
    const known = this.#kindOfCode.get(name) ?? this.#reader.kindOfCode(scheme, code)
    this.#kindOfCode.set(name, known)
    return known
  }

  #kinds(raw: RawEvent): { kinds: string[]; state: EventState | undefined } | undefined {
    const { condition, scheme, code } = raw
    if ((condition === undefined) === (code === undefined)) {
      this.faults.push(
        faultAt(raw, condition === undefined ? 'code' : 'condition', 'must be given: either a condition or a code'),
      )
      return undefined
    }
    if (code !== undefined) return this.#ofCode(raw, scheme ?? '', code)
    const kind = this.#reader.condition(condition!)
    const { version } = this.#reader.release
    if (!kind) return this.#unknown(raw, 'condition', condition!, `the conditions of release ${version}`)
    return { kinds: [kind], state: this.#state(raw) }
  }

  resolve(raw: RawEvent): HistoryEvent[] {
    if (!hasTimeForm(raw.at)) this.faults.push(faultAt(raw, 'at', TIME, { value: raw.at }))
    if ((raw.device?.length ?? 0) > LONGEST_DEVICE)
      this.faults.push(
        faultAt(raw, 'device', `must have at most ${LONGEST_DEVICE} characters`, { limit: LONGEST_DEVICE }),
      )
    const found = this.#kinds(raw)
    if (!found?.state) return []
    const { state } = found
    const time = parseEventTime(raw.at)
    return found.kinds.map((kind) => ({ time, kind, state, ...(raw.device !== undefined && { device: raw.device }) }))
  }
}

/** Events as the core wants them; every fault, up to a number, names its place. */
export function resolveEvents(
  wording: Wording,
  raw: readonly RawEvent[],
  states: StateWords,
  defaultScheme?: string,
): Resolved {
  const reader = new KindReader(wording)
  const resolver = new EventResolver(reader, states)
  const events: HistoryEvent[] = []
  for (const each of raw) {
    const scheme = each.scheme ?? (each.code === undefined ? undefined : defaultScheme)
    events.push(...resolver.resolve(scheme === undefined ? each : { ...each, scheme }))
    if (resolver.faults.length >= MOST_FAULTS) break
  }
  return { events, kinds: reader.kinds, faults: resolver.faults }
}
