import { DomainError } from '../errors.ts'
import type { CallEvent, CallEventKind, EventOf } from './event.ts'
import { advanced, type CallState } from './state.ts'

export interface CallLimits {
  events: number
  findings: number
  notes: number
  answers: number
}

/** What may still happen to a closed call; the rest needs it reopened. */
const AFTER_THE_CLOSE: ReadonlySet<CallEventKind> = new Set([
  'noted',
  'arranged',
  'attempted',
  'followed-up',
  'reopened',
])
/** What only a closed call can have. */
const ONLY_AFTER_THE_CLOSE: ReadonlySet<CallEventKind> = new Set(['followed-up', 'reopened'])

const refuse = (message: string, value?: string) =>
  new DomainError('CALL_STATE', message, value === undefined ? {} : { value })

function checkStatus({ status }: CallState, { kind }: CallEvent): void {
  if (kind === 'opened') throw refuse('a call is opened once', kind)
  if (status === 'closed' && !AFTER_THE_CLOSE.has(kind))
    throw refuse(`the call is closed; reopen it before it can be ${kind}`, kind)
  if (status === 'open' && ONLY_AFTER_THE_CLOSE.has(kind)) throw refuse(`an open call cannot be ${kind}`, kind)
}

/** The last place among the events is kept for the close, so that no call stays open for want of room. */
function checkRoom(event: CallEvent, after: CallState, limits: CallLimits): void {
  const mostEvents = event.kind === 'closed' ? limits.events : limits.events - 1
  const counts: [string, number, number][] = [
    ['events', after.seq, mostEvents],
    ['findings', after.findings.length, limits.findings],
    ['notes', after.notes.length, limits.notes],
    ['answers', after.advice.length, limits.answers],
  ]
  const over = counts.find(([, count, limit]) => count > limit)
  if (!over) return
  const [what, value, limit] = over
  const message = `a call must have at most ${limit} ${what} here, would have ${value}`
  throw new DomainError('CALL_FULL', message, { limit, value })
}

function checkClose({ conclusion, confirmed }: EventOf<'closed'>): void {
  const isNamed = confirmed.length > 0
  const problem = (message: string) =>
    new DomainError('CALL_STATE', message, { path: '/confirmed', value: confirmed.length })
  if (conclusion === 'confirmed' && !isNamed) throw problem('confirmed must name at least one cause')
  if (conclusion !== 'confirmed' && isNamed)
    throw problem(`confirmed must be empty where the conclusion is ${conclusion}`)
  const keys = confirmed.map(({ cause, device = '' }) => `${cause} ${device}`)
  const twice = keys.findIndex((key, index) => keys.indexOf(key) !== index)
  if (twice < 0) return
  const path = `/confirmed/${twice}`
  throw new DomainError('CALL_STATE', 'each cause of a device must be named once', { path, value: keys[twice]!.trim() })
}

function checkWithdrawal({ findings }: CallState, { finding }: EventOf<'withdrawn'>): void {
  const entry = findings[finding]
  const at = { path: '/finding', value: finding }
  if (!entry) throw new DomainError('CALL_STATE', `finding must be below ${findings.length}, got ${finding}`, at)
  if (entry.isWithdrawn) throw new DomainError('CALL_STATE', `finding ${finding} is withdrawn already`, at)
}

/**
 * The call after an event that may happen to it.
 *
 * @param state - the call before; undefined when it is not opened yet
 * @param event - what is to happen
 * @param limits - how much a call may hold
 * @returns the call after
 * @throws DomainError CALL_STATE when the event cannot happen there, CALL_FULL when there is no room for it
 * @source judgement
 */
export function afterEvent(state: CallState | undefined, event: CallEvent, limits: CallLimits): CallState {
  if (state === undefined) {
    if (event.kind !== 'opened') throw refuse('a call begins by being opened', event.kind)
    return advanced(undefined, event)
  }
  checkStatus(state, event)
  if (event.kind === 'closed') checkClose(event)
  if (event.kind === 'withdrawn') checkWithdrawal(state, event)
  const after = advanced(state, event)
  checkRoom(event, after, limits)
  return after
}
