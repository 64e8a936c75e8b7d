import type { CallEvent, CallEventBody, CallEventKind, EventOf, ReachBy, SentFinding, Speaker } from './event.ts'

type Logged<K extends CallEventKind> = EventOf<K> & { seq: number; at: number }

export interface FoundFinding {
  by: Speaker
  /** When it was entered. */
  at: number
  seq: number
  finding: SentFinding
  isWithdrawn: boolean
}
export const STEP_KINDS = ['asked', 'answered', 'checked', 'skipped', 'tried', 'withdrawn'] as const
export type StepKind = (typeof STEP_KINDS)[number]

/** A call as its log makes it. */
export interface CallState {
  /** Number of its last event. */
  seq: number
  status: 'open' | 'closed'
  release: string
  openedAt: number
  changedAt: number
  siteRef?: string
  contactRef?: string
  reachBy?: ReachBy
  callbackDue?: number
  findings: readonly FoundFinding[]
  steps: readonly Logged<StepKind>[]
  advice: readonly Logged<'advised'>[]
  notes: readonly Logged<'noted'>[]
  attempts: readonly Logged<'attempted'>[]
  /** How it ended; absent while it is open. */
  outcome?: Logged<'closed'>
  followUps: readonly Logged<'followed-up'>[]
  reopened: readonly Logged<'reopened'>[]
  /** When all was reported clear: after a remedy, by itself, or when the caller was asked again. */
  cleared: readonly { at: number; seq: number }[]
}

const begun = ({
  at,
  release,
  siteRef,
  contactRef,
  reachBy,
  callbackDue,
}: EventOf<'opened'> & { at: number }): CallState => ({
  seq: 1,
  status: 'open',
  release,
  openedAt: at,
  changedAt: at,
  ...(siteRef === undefined ? {} : { siteRef }),
  ...(contactRef === undefined ? {} : { contactRef }),
  ...(reachBy === undefined ? {} : { reachBy }),
  ...(callbackDue === undefined ? {} : { callbackDue }),
  findings: [],
  steps: [],
  advice: [],
  notes: [],
  attempts: [],
  followUps: [],
  reopened: [],
  cleared: [],
})

/** The findings that an event adds: those sent, the answer to a check, or what came of a remedy. */
function foundBy(event: CallEventBody): readonly SentFinding[] {
  if (event.kind === 'found') return event.findings
  if (event.kind !== 'answered' && event.kind !== 'checked' && event.kind !== 'tried') return []
  const { result, device } = event
  const on = device === undefined ? {} : { device }
  if (event.kind !== 'tried') return [{ kind: 'answer', check: event.check, result, ...on }]
  return event.finding === undefined ? [] : [{ kind: 'tried', remedy: event.remedy, result, ...on }]
}

/** Fields of the arrangement: what is null is taken away, what is not named stays. */
function arranged(state: CallState, event: EventOf<'arranged'>): CallState {
  const { contactRef: _c, reachBy: _r, callbackDue: _d, ...rest } = state
  const merged = Object.entries({
    contactRef: event.contactRef === undefined ? state.contactRef : event.contactRef,
    reachBy: event.reachBy === undefined ? state.reachBy : event.reachBy,
    callbackDue: event.callbackDue === undefined ? state.callbackDue : event.callbackDue,
  }).filter(([, value]) => value !== undefined && value !== null)
  return { ...rest, ...Object.fromEntries(merged) }
}

function withFindings(state: CallState, event: CallEventBody & { by: Speaker }, seq: number, at: number): CallState {
  const added = foundBy(event).map((finding) => ({ by: event.by, at, seq, finding, isWithdrawn: false }))
  return added.length === 0 ? state : { ...state, findings: [...state.findings, ...added] }
}

/** The finding counts no more; of a remedy that was not carried out nothing cleared. */
function withdrawn(state: CallState, logged: Logged<'withdrawn'>): CallState {
  const findings = state.findings.map((entry, index) =>
    index === logged.finding ? { ...entry, isWithdrawn: true } : entry,
  )
  const gone = state.findings[logged.finding]
  const cleared = state.cleared.filter(({ seq }) => gone?.finding.kind !== 'tried' || seq !== gone.seq)
  return { ...state, findings, cleared, steps: [...state.steps, logged] }
}

/** The outcome counts no more; what was closed by mistake was never reported clear by it either. */
function reopened({ outcome, cleared, ...rest }: CallState, logged: Logged<'reopened'>): CallState {
  const isVoid = logged.reason === 'closed-by-mistake'
  const left = isVoid ? cleared.filter(({ seq }) => seq !== outcome?.seq) : cleared
  return { ...rest, status: 'open', cleared: left, reopened: [...rest.reopened, logged] }
}

/** Whether an event says that nothing stands any more. */
function saysClear(event: CallEventBody): boolean {
  if (event.kind === 'tried') return event.result === 'cleared'
  if (event.kind === 'followed-up') return event.answer === 'cleared'
  return event.kind === 'closed' && (event.conclusion === 'gone-by-itself' || event.remedy !== undefined)
}

function changed(state: CallState, event: CallEvent, seq: number): CallState {
  const logged = { ...event, seq }
  switch (logged.kind) {
    case 'found':
      return withFindings(state, logged, seq, event.at)
    case 'asked':
    case 'answered':
    case 'checked':
    case 'skipped':
    case 'tried':
      return { ...withFindings(state, logged, seq, event.at), steps: [...state.steps, logged] }
    case 'withdrawn':
      return withdrawn(state, logged)
    case 'advised':
      return { ...state, advice: [...state.advice, logged] }
    case 'noted':
      return { ...state, notes: [...state.notes, logged] }
    case 'attempted':
      return { ...state, attempts: [...state.attempts, logged] }
    case 'arranged':
      return arranged(state, logged)
    case 'closed':
      return { ...state, status: 'closed', outcome: logged }
    case 'followed-up':
      return { ...state, followUps: [...state.followUps, logged] }
    case 'reopened':
      return reopened(state, logged)
    case 'opened':
      return state
  }
}

/** The call after one more event that is legal there. */
export function advanced(state: CallState | undefined, event: CallEvent): CallState {
  if (state === undefined) return begun(event as EventOf<'opened'> & { at: number })
  const seq = state.seq + 1
  const cleared = saysClear(event) ? [...state.cleared, { at: event.at, seq }] : state.cleared
  return { ...changed({ ...state, cleared }, event, seq), seq, changedAt: Math.max(state.changedAt, event.at) }
}

/**
 * What a log makes of a call.
 *
 * @param events - in order, the opening first; each legal after those before it
 * @returns the state; undefined for an empty log
 * @validity any prefix of a log is the call as it was then
 * @source judgement
 */
export function foldCall(events: readonly CallEvent[]): CallState | undefined {
  return events.reduce<CallState | undefined>(advanced, undefined)
}
