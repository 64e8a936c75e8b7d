import fc from 'fast-check'
import type { CallEvent, CallEventBody } from '../../src/domain/calls/event.ts'
import type { CallState } from '../../src/domain/calls/state.ts'
import { afterEvent, type CallLimits } from '../../src/domain/calls/transition.ts'
import { DomainError } from '../../src/domain/errors.ts'

export const ROOMY: CallLimits = { events: 1000, findings: 1000, notes: 1000, answers: 1000 }
export const opened = (at = 0): CallEvent => ({ kind: 'opened', release: '0.3.0', at })

const speaker = fc.constantFrom('caller', 'shop', 'technician', 'system' as const)
const condition = fc
  .constantFrom('condition/a', 'condition/b')
  .map((id) => ({ kind: 'condition', condition: id, state: 'present' }))
const at = { by: speaker, check: fc.constantFrom('check/a', 'check/b') }

/** Any event at all, legal where it comes or not. */
export const anyEvent: fc.Arbitrary<CallEventBody> = fc.oneof(
  fc.record({ kind: fc.constant('opened' as const), release: fc.constant('0.3.0') }),
  fc.record({
    kind: fc.constant('found' as const),
    by: speaker,
    findings: fc.array(condition, { minLength: 1, maxLength: 3 }),
  }),
  fc.record({ kind: fc.constant('asked' as const), ...at }),
  fc.record({ kind: fc.constantFrom('answered' as const, 'checked' as const), ...at, result: fc.constant('yes') }),
  fc.record({ kind: fc.constant('skipped' as const), ...at, reason: fc.constant('unsafe' as const) }),
  fc.record({
    kind: fc.constant('tried' as const),
    by: speaker,
    remedy: fc.constant('remedy/a'),
    result: fc.constantFrom('cleared' as const, 'no-change' as const),
  }),
  fc.record({ kind: fc.constant('withdrawn' as const), by: speaker, finding: fc.nat(4) }),
  fc.record({ kind: fc.constant('noted' as const), by: speaker, text: fc.string(), isRedacted: fc.boolean() }),
  fc.record({
    kind: fc.constant('arranged' as const),
    contactRef: fc.constantFrom('contact-1', null),
    callbackDue: fc.constantFrom(5, null),
  }),
  fc.record({
    kind: fc.constant('attempted' as const),
    reachBy: fc.constant('voice' as const),
    outcome: fc.constant('no-answer' as const),
  }),
  fc.record({
    kind: fc.constant('closed' as const),
    conclusion: fc.constantFrom('confirmed' as const, 'gone-by-itself' as const, 'not-confirmed' as const),
    confirmed: fc.array(
      fc.constantFrom('cause/a', 'cause/b').map((cause) => ({ cause, by: 'check' as const })),
      { maxLength: 2 },
    ),
  }),
  fc.record({
    kind: fc.constant('followed-up' as const),
    by: speaker,
    answer: fc.constantFrom('cleared' as const, 'came-back' as const),
  }),
  fc.record({
    kind: fc.constant('reopened' as const),
    reason: fc.constantFrom('came-back' as const, 'closed-by-mistake' as const),
  }),
)

/** What of a list of events can happen, in order: a legal log. */
export function legalLog(bodies: readonly CallEventBody[], limits = ROOMY): { log: CallEvent[]; states: CallState[] } {
  const log: CallEvent[] = [opened()]
  const states = [afterEvent(undefined, opened(), limits)]
  bodies.forEach((body, index) => {
    const event = { ...body, at: index + 1 } as CallEvent
    try {
      states.push(afterEvent(states.at(-1), event, limits))
      log.push(event)
    } catch (error) {
      if (!(error instanceof DomainError)) throw error
    }
  })
  return { log, states }
}
export const logs = fc.array(anyEvent, { maxLength: 40 }).map((bodies) => legalLog(bodies))
