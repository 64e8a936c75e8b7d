import { TRIED_RESULTS } from '../findings/finding.ts'

export { TRIED_RESULTS }

/** Who said it: the caller, the shop's own person, a technician at the site, or a system by itself. */
export const SPEAKERS = ['caller', 'shop', 'technician', 'system'] as const
export type Speaker = (typeof SPEAKERS)[number]

/** How a caller can be reached; by what and where is for the shop to know. */
export const REACH_BY = ['voice', 'text', 'relay'] as const
export type ReachBy = (typeof REACH_BY)[number]

/** Why a check that was offered was not made. */
export const SKIP_REASONS = [
  'cannot-reach',
  'no-tool',
  'unsafe',
  'not-allowed',
  'no-time',
  'not-wanted',
  'done-before',
] as const
export const ATTEMPT_OUTCOMES = ['reached', 'no-answer', 'message-left', 'wrong-contact', 'refused'] as const
export const CONCLUSIONS = ['confirmed', 'gone-by-itself', 'not-confirmed'] as const
export const CONFIRMED_BY = ['check', 'repair', 'technician', 'said'] as const
/** Answers to the one question that is asked a day or two after the close. */
export const CLOSING_ANSWERS = ['cleared', 'came-back', 'something-else'] as const
export const REOPEN_REASONS = ['came-back', 'something-else', 'closed-by-mistake'] as const

/** A finding as it was sent; read by the engine, kept here as it is. */
export interface SentFinding {
  kind: string
  device?: string
  observedAt?: string
  [field: string]: unknown
}
export interface ConfirmedCause {
  cause: string
  device?: string
  by: (typeof CONFIRMED_BY)[number]
}
interface Advised {
  kind: 'advised'
  /** Limits and language that the answer was asked for with, as they were sent. */
  limits: Record<string, unknown>
  language: string
  basis: Record<string, unknown>
  stop: string | null
  causes: readonly { cause: string; device?: string; label: string; shown: number; word: string }[]
  /** Checks offered and remedies planned, in their order. */
  checks: readonly { check: string; device?: string }[]
  remedies: readonly string[]
}
interface CheckAt {
  by: Speaker
  check: string
  device?: string
}

interface Tried {
  kind: 'tried'
  by: Speaker
  remedy: string
  device?: string
  result: (typeof TRIED_RESULTS)[number]
  /** Its place among the findings of the call; without one it is none, so that those after it keep the places they were given. */
  finding?: number
}

/** What can happen to a call. */
export type CallEventBody =
  | { kind: 'opened'; release: string; siteRef?: string; contactRef?: string; reachBy?: ReachBy; callbackDue?: number }
  | { kind: 'found'; by: Speaker; findings: readonly SentFinding[] }
  | ({ kind: 'asked' } & CheckAt)
  | ({ kind: 'answered' | 'checked'; result: string } & CheckAt)
  | ({ kind: 'skipped'; reason: (typeof SKIP_REASONS)[number] } & CheckAt)
  | Tried
  | { kind: 'withdrawn'; by: Speaker; finding: number }
  | Advised
  | { kind: 'noted'; by: Speaker; text: string; isRedacted: boolean }
  | { kind: 'arranged'; contactRef?: string | null; reachBy?: ReachBy | null; callbackDue?: number | null }
  | { kind: 'attempted'; reachBy: ReachBy; outcome: (typeof ATTEMPT_OUTCOMES)[number] }
  | { kind: 'closed'; conclusion: (typeof CONCLUSIONS)[number]; confirmed: readonly ConfirmedCause[]; remedy?: string }
  | { kind: 'followed-up'; by: Speaker; answer: (typeof CLOSING_ANSWERS)[number] }
  | { kind: 'reopened'; reason: (typeof REOPEN_REASONS)[number] }
export type CallEventKind = CallEventBody['kind']
export type EventOf<K extends CallEventKind> = Extract<CallEventBody, { kind: K }>

/** One line of a call's log; its number in the call is its place, from 1. */
export type CallEvent = CallEventBody & {
  /** Milliseconds since 1970-01-01T00:00Z. */
  at: number
}
