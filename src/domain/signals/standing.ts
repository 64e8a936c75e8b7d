import type { SignalEvent, SignalScheme } from './signal-event.ts'

/** What a restoral puts an end to; its own code when the table names none. */
export type RestoralTable = (scheme: SignalScheme, code: string) => readonly string[] | undefined

/** What the last event of a code at an address said. */
export interface StandingSignal {
  scheme: SignalScheme
  code: string
  /** Without leading zeros; empty for none. */
  area: string
  state: 'present' | 'absent'
  /** The event that said so last. */
  event: SignalEvent
  /** Positions of all events that it rests on, rising. */
  from: number[]
}

/** Digits without leading zeros: 012 and 12 are one address. */
const plain = (digits: string | undefined) => digits?.replace(/^0+/, '') ?? ''
/** A user is who did it, not where it was: the restoral may come from another. */
const placeOf = ({ address }: SignalEvent) => (address?.of === 'user' ? '' : plain(address?.number))
const keyOf = (event: SignalEvent, code: string) =>
  JSON.stringify([event.scheme, code, event.account ?? '', placeOf(event)])

/** Events oldest first: by their moments where every one has it, else as they came. */
function inOrder(events: readonly SignalEvent[]): { event: SignalEvent; at: number }[] {
  const placed = events.map((event, at) => ({ event, at, momentMs: Date.parse(event.at ?? '') }))
  if (placed.some(({ momentMs }) => Number.isNaN(momentMs))) return placed
  return placed.sort((a, b) => a.momentMs - b.momentMs || a.at - b.at)
}

class Ledger {
  readonly facts = new Map<string, StandingSignal[]>()

  #factsOf(event: SignalEvent, code: string): StandingSignal[] {
    const key = keyOf(event, code)
    const known = this.facts.get(key) ?? []
    this.facts.set(key, known)
    return known
  }

  /** What was said last of a code at the address and in the area of an event. */
  say(event: SignalEvent, at: number, code: string, state: StandingSignal['state']): void {
    const area = plain(event.area)
    const facts = this.#factsOf(event, code)
    const known = facts.find((fact) => fact.area === area)
    if (known) update(known, state, event, at)
    else facts.push({ scheme: event.scheme, code, area, state, event, from: [at] })
  }

  /**
   * A restoral of several codes speaks only of those that were reported: which of the others stood cannot be told. Where
   * none was, it stands for itself.
   */
  restore(event: SignalEvent, at: number, codes: readonly string[]): void {
    const area = plain(event.area)
    const known = codes.flatMap((code) =>
      // An area that one of the two leaves out may be that of the other.
      this.#factsOf(event, code).filter((fact) => fact.area === '' || area === '' || fact.area === area),
    )
    for (const fact of known) update(fact, 'absent', event, at)
    if (known.length === 0) this.say(event, at, codes.length === 1 ? codes[0]! : event.code, 'absent')
  }
}

function update(fact: StandingSignal, state: StandingSignal['state'], event: SignalEvent, at: number): void {
  fact.state = state
  fact.event = event
  fact.from.push(at)
}

/**
 * What stands after a run of events: for each code at each address what was said last. A restoral clears the earlier
 * events of its code, or of the codes that it is the restoral of, at the same address; the same event sent again counts
 * once.
 *
 * @param events - as they came; put in order by their moments when every one has a moment
 * @param restoralOf - the codes that a restoral of DC-03 clears
 * @returns in the order in which each code at its address was first spoken of
 * @validity that no restoral came is no proof that a fault stands: many systems do not send them
 * @source dc-05 qualifiers; dc-03 restorals as the tables pair them
 * @example standingSignals([mainsLost, mainsBack], () => undefined) // one signal, absent
 */
export function standingSignals(events: readonly SignalEvent[], restoralOf: RestoralTable): StandingSignal[] {
  const ledger = new Ledger()
  for (const { event, at } of inOrder(events)) {
    if (event.kind === 'event') ledger.say(event, at, event.code, 'present')
    else ledger.restore(event, at, restoralOf(event.scheme, event.code) ?? [event.code])
  }
  const signals = [...ledger.facts.values()].flat()
  for (const signal of signals) signal.from.sort((a, b) => a - b)
  return signals
}
