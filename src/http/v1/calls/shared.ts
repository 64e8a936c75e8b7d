import type { z } from '@hono/zod-openapi'
import type { Context } from 'hono'
import type { CallEventBody, EventOf } from '../../../domain/calls/event.ts'
import type { CallState } from '../../../domain/calls/state.ts'
import type { CallLimits } from '../../../domain/calls/transition.ts'
import type { Release } from '../../../ontology/release.ts'
import { CallFaultError } from '../../../services/calls/log.ts'
import { CLOSING_QUESTION, CLOSING_QUESTION_FROM_MS, CLOSING_QUESTION_UNTIL_MS } from '../../../services/calls/texts.ts'
import type { Addition, Written } from '../../../services/calls/write-call.ts'
import type { CallsPort } from '../../../services/calls-port.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { claimOf, underClaim } from '../../idempotency.ts'
import { LIMITS } from '../../limits.ts'
import type { ShopEnv } from '../../middleware/key.ts'
import { entityTag, ifMatch, refuseMovedOn } from '../../preconditions.ts'
import { ProblemError } from '../../problem.ts'
import type { CallBody, HeadSchema } from './answers.ts'

export const CALL_LIMITS: CallLimits = {
  events: LIMITS.callEvents,
  findings: LIMITS.findings,
  notes: LIMITS.callNotes,
  answers: LIMITS.callAnswers,
}

/** The shop of the key, and its calls. */
export const callsOf = ({ var: { shop, shops } }: Context<ShopEnv>): { shop: string; calls: CallsPort } => ({
  shop,
  calls: shops.calls,
})

/** Runs what concerns one call; that it is not there, erased or elsewhere becomes a problem. */
export async function ofCall<T>(c: Context, call: string, run: () => Promise<T>): Promise<T> {
  try {
    return await underClaim(run)
  } catch (error) {
    if (!(error instanceof CallFaultError)) throw error
    if (error.fault === 'moved-on') return refuseMovedOn(c)
    if (error.fault === 'erased') throw new ProblemError('GONE', `call ${call} has been erased`)
    throw new ProblemError('NOT_FOUND', `there is no call ${call} here`)
  }
}

/** The release that a call is pinned to. */
export async function releaseOf(shelf: ReleaseShelf, { release }: CallState): Promise<Release> {
  const found = await shelf.named(release)
  if (found) return found
  throw new ProblemError('RELEASE_UNKNOWN', `release ${release}, which the call is pinned to, is not served any more`)
}

/** Whether If-Match allows for a state of the call; the header is asked for once the call is known to be there. */
export const isSeenBy =
  (c: Context) =>
  (seq: number): boolean =>
    ifMatch(c)?.includes(entityTag(seq)) ?? true

interface Given {
  shop: string
  state: CallState
  release: Release
  now: number
}
type Made = CallEventBody | Omit<Addition, 'release'>

const isEvent = (made: Made): made is CallEventBody => 'kind' in made

/** Adds what `make` makes of a call to it, under key, If-Match and idempotency key. */
export async function addTo(
  c: Context<ShopEnv>,
  shelf: ReleaseShelf,
  { call, body }: { call: string; body: unknown },
  make: (given: Given) => Made | Promise<Made>,
): Promise<Written> {
  const { shop, calls } = callsOf(c)
  return ofCall(c, call, async () => {
    const claim = await claimOf(c, body)
    const at = { callId: call, isSeen: isSeenBy(c) }
    return calls.add({ shop, claim, limits: CALL_LIMITS }, at, async (state, now) => {
      const release = await releaseOf(shelf, state)
      const made = await make({ shop, state, release, now })
      return isEvent(made) ? { event: made, release } : { ...made, release }
    })
  })
}

const iso = (milliseconds: number) => new Date(milliseconds).toISOString()
const withIso = <T extends { at: number }>(entry: T) => ({ ...entry, at: iso(entry.at) })
/** A logged event on the wire: its kind is told by the list it stands in. */
function plain<T extends { at: number; kind: string }>(entry: T) {
  const { kind: _kind, ...rest } = withIso(entry)
  return rest
}

function outcomeOf({ confirmed, ...outcome }: EventOf<'closed'> & { at: number; seq: number }) {
  const closingQuestion = {
    ...CLOSING_QUESTION,
    from: iso(outcome.at + CLOSING_QUESTION_FROM_MS),
    until: iso(outcome.at + CLOSING_QUESTION_UNTIL_MS),
  }
  return { ...plain(outcome), confirmed: [...confirmed], closingQuestion }
}

/** A call as it is answered. */
export function callBody(call: string, state: CallState): CallBody {
  const { callbackDue, outcome, openedAt, changedAt, findings, advice, cleared: _cleared, ...rest } = state
  const path = `/v1/calls/${call}`
  return {
    ...rest,
    call,
    path,
    openedAt: iso(openedAt),
    changedAt: iso(changedAt),
    ...(callbackDue === undefined ? {} : { callbackDue: iso(callbackDue) }),
    findings: findings.map(withIso),
    steps: state.steps.map(withIso),
    advice: advice.map(({ limits: _limits, ...entry }) => ({
      ...plain(entry as typeof entry & { kind: string }),
      path: `${path}/advice/${entry.seq}`,
    })),
    notes: state.notes.map(plain),
    attempts: state.attempts.map(plain),
    ...(outcome ? { outcome: outcomeOf(outcome) } : {}),
    followUps: state.followUps.map(plain),
    reopened: state.reopened.map(plain),
  } as unknown as CallBody
}

type Head = z.infer<typeof HeadSchema>
interface StoredHead {
  callId: string
  openedAt: number
  changedAt: number
  siteRef: string | null
  contactRef: string | null
  callbackDue: number | null
  seq: number
  status: string
  release: string
}

/** A call as lists show it. */
export function headBody({ callId, openedAt, changedAt, siteRef, contactRef, callbackDue, ...rest }: StoredHead): Head {
  return {
    call: callId,
    path: `/v1/calls/${callId}`,
    seq: rest.seq,
    status: rest.status as Head['status'],
    release: rest.release,
    openedAt: iso(openedAt),
    changedAt: iso(changedAt),
    ...(siteRef === null ? {} : { siteRef }),
    ...(contactRef === null ? {} : { contactRef }),
    ...(callbackDue === null ? {} : { callbackDue: iso(callbackDue) }),
  }
}

/** What was written, with the ETag that the next write builds on. */
export function written(c: Context<ShopEnv>, { callId, state }: Written): CallBody {
  c.header('ETag', entityTag(state.seq))
  return callBody(callId, state)
}
