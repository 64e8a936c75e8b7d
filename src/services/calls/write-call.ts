import type { CallEvent, CallEventBody, EventOf } from '../../domain/calls/event.ts'
import type { CallState } from '../../domain/calls/state.ts'
import { afterEvent, type CallLimits } from '../../domain/calls/transition.ts'
import type { Release } from '../../ontology/release.ts'
import {
  answerStatement,
  appendStatements,
  conceptStatements,
  forgetClearing,
  forgetOutcome,
  isErased,
  openStatements,
  outcomeStatements,
  readEvents,
} from '../../store/calls.ts'
import { type Database, type Statement, write } from '../../store/database.ts'
import { basisOf } from '../basis.ts'
import { type Claim, isConstraint, madeBefore, once } from '../idempotency.ts'
import type { ChosenRates } from '../learning/chosen-rates.ts'
import { conceptsOfCall } from './concepts.ts'
import { CallFaultError, headOf, placeOf, refOf, stateFrom, storedFrom } from './log.ts'
import type { Prediction } from './predict.ts'

export interface Written {
  callId: string
  state: CallState
  /** False when the same request had been answered before. */
  isNew: boolean
}
/** What is to be added to a call, made from how it stands. */
export interface Addition {
  event: CallEventBody
  release: Release
  /** An answer to keep beside the event. */
  answer?: unknown
  /** What the engine held when the call was closed, and the learned rates that it held it on. */
  predicted?: readonly Prediction[]
  rates?: ChosenRates['stated'] | undefined
}
export interface Asked {
  shop: string
  claim: Claim | undefined
  now: number
  limits: CallLimits
}

/** The call as it was after an event. @throws CallFaultError where it never was, or was erased */
export async function readCall(database: Database, shop: string, callId: string, upTo?: number): Promise<CallState> {
  const events = await readEvents(database, shop, callId, upTo)
  if (events.length === 0 && (await isErased(database, shop, callId))) throw new CallFaultError('erased')
  return stateFrom(events)
}

async function asItWas(database: Database, shop: string, ref: string): Promise<Written> {
  const { callId, seq } = placeOf(ref)
  return { callId, state: await readCall(database, shop, callId, seq), isNew: false }
}

/** Opens a call under a new id, once for a key. */
export async function openCall(
  database: Database,
  { shop, claim, now, limits }: Asked,
  { callId, event }: { callId: string; event: EventOf<'opened'> },
): Promise<Written> {
  const opened: CallEvent = { ...event, at: now }
  const state = afterEvent(undefined, opened, limits)
  const statements = openStatements(shop, headOf(callId, state), storedFrom(opened, 1))
  const made = await once(database, { shop, claim, now }, refOf(callId, 1), (first) =>
    write(database, [...first, ...statements]),
  )
  return made.isNew ? { callId, state, isNew: true } : asItWas(database, shop, made.ref)
}

function outcomeOf(
  shop: string,
  callId: string,
  state: CallState,
  { event, release, predicted = [], rates }: Addition,
) {
  if (event.kind === 'reopened') return [forgetOutcome(shop, callId)]
  if (event.kind === 'followed-up' && event.answer === 'came-back') return [forgetClearing(shop, callId)]
  const { outcome } = state
  if (event.kind !== 'closed' || !outcome) return []
  const basis = basisOf(release, rates)
  return outcomeStatements(shop, callId, {
    closedAt: outcome.at,
    release: state.release,
    engine: basis.engine,
    conclusion: outcome.conclusion,
    confirmed: JSON.stringify(outcome.confirmed),
    remedy: outcome.remedy ?? null,
    predicted: JSON.stringify(predicted),
    ratesId: basis.rates.id,
  })
}

/** Concepts change with findings and with the outcome only. */
const MOVES_CONCEPTS = new Set(['found', 'withdrawn', 'closed', 'reopened'])

function statementsOf(shop: string, callId: string, state: CallState, addition: Addition, at: number): Statement[] {
  const { event, release, answer } = addition
  return [
    ...appendStatements(shop, headOf(callId, state), storedFrom({ ...event, at }, state.seq)),
    ...(MOVES_CONCEPTS.has(event.kind) ? conceptStatements(shop, callId, conceptsOfCall(release, state)) : []),
    ...(answer === undefined ? [] : [answerStatement(shop, callId, state.seq, JSON.stringify(answer))]),
    ...outcomeOf(shop, callId, state, addition),
  ]
}

/**
 * Adds one event to a call that stands where the writer saw it last, once for a key.
 * @param at - the call, and whether the writer has seen the event that is its last; asked once the call is known to be there
 * @throws CallFaultError moved-on when the call stands elsewhere, even if only since it was looked at
 * @throws DomainError when the event cannot happen to the call
 */
export async function addToCall(
  database: Database,
  { shop, claim, now, limits }: Asked,
  { callId, isSeen }: { callId: string; isSeen: (seq: number) => boolean },
  make: (state: CallState) => Promise<Addition>,
): Promise<Written> {
  const before = await madeBefore(database, shop, claim, now)
  if (before !== undefined) return asItWas(database, shop, before)
  const state = await readCall(database, shop, callId)
  if (!isSeen(state.seq)) throw new CallFaultError('moved-on')
  const addition = await make(state)
  const after = afterEvent(state, { ...addition.event, at: now }, limits)
  const statements = statementsOf(shop, callId, after, addition, now)
  try {
    const made = await once(database, { shop, claim, now }, refOf(callId, after.seq), (first) =>
      write(database, [...first, ...statements]),
    )
    return made.isNew ? { callId, state: after, isNew: true } : asItWas(database, shop, made.ref)
  } catch (error) {
    if (!isConstraint(error)) throw error
    throw new CallFaultError((await isErased(database, shop, callId)) ? 'erased' : 'moved-on')
  }
}
