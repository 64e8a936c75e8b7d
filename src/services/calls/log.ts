import type { CallEvent } from '../../domain/calls/event.ts'
import { type CallState, foldCall } from '../../domain/calls/state.ts'
import type { CallHead, StoredEvent } from '../../store/calls.ts'

/** Why a call cannot be answered or written. */
export type CallFault = 'absent' | 'erased' | 'moved-on'
export class CallFaultError extends Error {
  readonly fault: CallFault
  constructor(fault: CallFault) {
    super(fault)
    this.fault = fault
  }
}

export const eventFrom = ({ at, kind, body }: StoredEvent) =>
  ({ ...(JSON.parse(body) as object), kind, at }) as CallEvent

/** A line of the log as it is stored: its kind and time in columns, the rest as JSON. */
export function storedFrom({ at, kind, ...rest }: CallEvent, seq: number): StoredEvent {
  return { seq, at, kind, body: JSON.stringify(rest) }
}

export function stateFrom(events: readonly StoredEvent[]): CallState {
  const state = foldCall(events.map(eventFrom))
  if (!state) throw new CallFaultError('absent')
  return state
}

export function headOf(callId: string, state: CallState): CallHead {
  const { seq, status, release, openedAt, changedAt, siteRef = null, contactRef = null, callbackDue = null } = state
  return { callId, seq, status, release, openedAt, changedAt, siteRef, contactRef, callbackDue }
}

/** What an idempotency key of a call stands for: the call as it was after an event. */
export const refOf = (callId: string, seq: number) => `call/${callId}/${seq}`
export function placeOf(ref: string): { callId: string; seq: number } {
  const [, callId = '', seq = '0'] = ref.split('/')
  return { callId, seq: Number(seq) }
}
