import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { CallEvent, CallEventBody } from '../../../src/domain/calls/event.ts'
import { foldCall } from '../../../src/domain/calls/state.ts'
import { afterEvent } from '../../../src/domain/calls/transition.ts'
import { anyEvent, legalLog, logs, opened, ROOMY } from '../../support/call-logs.ts'

const stateOf = (...bodies: CallEventBody[]) =>
  foldCall([opened(), ...bodies.map((body, at) => ({ ...body, at: at + 1 }))])!
const refusal = (state: ReturnType<typeof stateOf>, body: CallEventBody, limits = ROOMY) => {
  try {
    afterEvent(state, { ...body, at: 9 }, limits)
    return undefined
  } catch (error) {
    return (error as { code: string }).code
  }
}
const MAINS = { kind: 'condition', condition: 'condition/a', state: 'present' }
const FOUND = { kind: 'found', by: 'caller', findings: [MAINS] } as const
const CLOSED = { kind: 'closed', conclusion: 'confirmed', confirmed: [{ cause: 'cause/a', by: 'check' }] } as const

describe('the state of a call is a fold over its log', () => {
  test('any prefix of a log is the call as it was then', () => {
    fc.assert(
      fc.property(logs, ({ log, states }) => {
        states.forEach((state, index) => expect(foldCall(log.slice(0, index + 1))).toEqual(state))
      }),
    )
  })

  test('the number of the state is the length of the log', () => {
    fc.assert(
      fc.property(logs, ({ log }) => {
        expect(foldCall(log)!.seq).toBe(log.length)
      }),
    )
  })

  test('folding changes neither the log nor an earlier state', () => {
    fc.assert(
      fc.property(logs, ({ log, states }) => {
        const before = JSON.stringify([log, states])
        foldCall(log)
        expect(JSON.stringify([log, states])).toBe(before)
      }),
    )
  })

  test('a call is closed exactly while it has an outcome, and that is its last close', () => {
    fc.assert(
      fc.property(logs, ({ log }) => {
        const state = foldCall(log)!
        const last = log.findLastIndex(({ kind }) => kind === 'closed' || kind === 'reopened')
        const isClosed = log[last]?.kind === 'closed'
        expect([state.status === 'closed', state.outcome?.seq]).toEqual([isClosed, isClosed ? last + 1 : undefined])
      }),
    )
  })

  test('nothing that was logged is lost: findings, steps, notes and attempts are all there', () => {
    fc.assert(
      fc.property(logs, ({ log }) => {
        const state = foldCall(log)!
        const count = (...kinds: string[]) => log.filter(({ kind }) => kinds.includes(kind)).length
        const sent = log.reduce((sum, event) => sum + (event.kind === 'found' ? event.findings.length : 0), 0)
        expect(state.findings).toHaveLength(sent + count('answered', 'checked'))
        expect(state.steps).toHaveLength(count('asked', 'answered', 'checked', 'skipped', 'tried', 'withdrawn'))
        expect(state.notes).toHaveLength(count('noted'))
        expect(state.attempts).toHaveLength(count('attempted'))
        expect(state.findings.filter(({ isWithdrawn }) => isWithdrawn)).toHaveLength(count('withdrawn'))
      }),
    )
  })

  test('numbers of events rise through every list', () => {
    fc.assert(
      fc.property(logs, ({ log }) => {
        const { findings, steps, notes } = foldCall(log)!
        for (const list of [findings, steps, notes])
          expect(list.map(({ seq }) => seq)).toEqual(list.map(({ seq }) => seq).sort((a, b) => a - b))
      }),
    )
  })

  test('what is refused leaves the call as it was', () => {
    fc.assert(
      fc.property(logs, anyEvent, ({ states }, body) => {
        const state = states.at(-1)!
        const before = structuredClone(state)
        refusal(state, body)
        expect(state).toEqual(before)
      }),
    )
  })

  test('an empty log is no call', () => {
    expect(foldCall([])).toBeUndefined()
  })
})

describe('a remedy that was tried', () => {
  const tried = { kind: 'tried', by: 'caller', remedy: 'remedy/a', device: 'hall', result: 'cleared' } as const
  const said = { kind: 'tried', remedy: 'remedy/a', device: 'hall', result: 'cleared' }

  test('is a finding at the place it was given', () => {
    const { findings } = stateOf(FOUND, { ...tried, finding: 1 })
    expect(findings.map(({ finding }) => finding)).toEqual([MAINS, said])
  })

  test('without a place is none, and what comes after it keeps its own', () => {
    const { findings } = stateOf(FOUND, tried, FOUND, { kind: 'withdrawn', by: 'shop', finding: 1 })
    expect(findings.map(({ seq, isWithdrawn }) => [seq, isWithdrawn])).toEqual([
      [2, false],
      [4, true],
    ])
  })

  test('that is withdrawn has cleared nothing', () => {
    const done = [FOUND, { ...tried, finding: 1 }] as const
    const cleared = (...more: CallEventBody[]) => stateOf(...done, ...more).cleared.length
    const takeBack = (finding: number) => ({ kind: 'withdrawn', by: 'shop', finding }) as const
    expect([cleared(), cleared(takeBack(0)), cleared(takeBack(1))]).toEqual([1, 1, 0])
  })
})

describe('what can happen to a call', () => {
  const open = stateOf(FOUND)
  const closed = stateOf(FOUND, CLOSED)

  test.each<[string, CallEventBody]>([
    ['found', FOUND],
    ['asked', { kind: 'asked', by: 'shop', check: 'check/a' }],
    ['tried', { kind: 'tried', by: 'caller', remedy: 'remedy/a', result: 'cleared' }],
    ['withdrawn', { kind: 'withdrawn', by: 'shop', finding: 0 }],
    ['closed', CLOSED],
  ])('%s happens to an open call and not to a closed one', (_, body) => {
    expect([refusal(open, body), refusal(closed, body)]).toEqual([undefined, 'CALL_STATE'])
  })

  test.each<[string, CallEventBody]>([
    ['reopened', { kind: 'reopened', reason: 'came-back' }],
    ['followed-up', { kind: 'followed-up', by: 'caller', answer: 'cleared' }],
  ])('%s happens to a closed call and not to an open one', (_, body) => {
    expect([refusal(open, body), refusal(closed, body)]).toEqual(['CALL_STATE', undefined])
  })

  test.each<[string, CallEventBody]>([
    ['noted', { kind: 'noted', by: 'shop', text: 'x', isRedacted: false }],
    ['arranged', { kind: 'arranged', callbackDue: 5 }],
    ['attempted', { kind: 'attempted', reachBy: 'relay', outcome: 'no-answer' }],
  ])('%s happens to both', (_, body) => {
    expect([refusal(open, body), refusal(closed, body)]).toEqual([undefined, undefined])
  })

  test('a call begins by being opened, once', () => {
    expect(() => afterEvent(undefined, { ...FOUND, at: 1 }, ROOMY)).toThrow('begins by being opened')
    expect(refusal(open, opened())).toBe('CALL_STATE')
  })

  test.each<[string, CallEventBody]>([
    ['confirmed without a cause', { kind: 'closed', conclusion: 'confirmed', confirmed: [] }],
    ['gone by itself with one', { ...CLOSED, conclusion: 'gone-by-itself' }],
    ['not confirmed with one', { ...CLOSED, conclusion: 'not-confirmed' }],
    ['the same cause twice', { ...CLOSED, confirmed: [...CLOSED.confirmed, { cause: 'cause/a', by: 'said' }] }],
  ])('a close is refused: %s', (_, body) => {
    expect(refusal(open, body)).toBe('CALL_STATE')
  })

  test('the same cause of two devices is two causes', () => {
    const two = ['hall', 'attic'].map((device) => ({ cause: 'cause/a', device, by: 'check' as const }))
    expect(refusal(open, { ...CLOSED, confirmed: two })).toBeUndefined()
  })

  test('a finding is withdrawn once, and only one that is there', () => {
    const withdrawn = stateOf(FOUND, { kind: 'withdrawn', by: 'shop', finding: 0 })
    expect(withdrawn.findings[0]).toMatchObject({ isWithdrawn: true, finding: MAINS })
    expect(refusal(withdrawn, { kind: 'withdrawn', by: 'shop', finding: 0 })).toBe('CALL_STATE')
    expect(refusal(withdrawn, { kind: 'withdrawn', by: 'shop', finding: 1 })).toBe('CALL_STATE')
  })
})

describe('room in a call', () => {
  test('the last place is kept for the close', () => {
    const limits = { ...ROOMY, events: 4 }
    const full = stateOf(FOUND, FOUND)
    expect(refusal(full, FOUND, limits)).toBe('CALL_FULL')
    expect(refusal(full, CLOSED, limits)).toBeUndefined()
  })

  test('no log grows beyond its limits, whatever is tried', () => {
    const limits = { events: 12, findings: 5, notes: 2, answers: 1 }
    fc.assert(
      fc.property(fc.array(anyEvent, { maxLength: 60 }), (bodies) => {
        const state = legalLog(bodies, limits).states.at(-1)!
        expect(state.seq).toBeLessThanOrEqual(12)
        expect(state.findings.length).toBeLessThanOrEqual(5)
        expect(state.notes.length).toBeLessThanOrEqual(2)
      }),
    )
  })
})

describe('what is arranged and what is clear', () => {
  test('null takes a field away, and what is not named stays', () => {
    const set = stateOf({ kind: 'arranged', contactRef: 'contact-1', reachBy: 'relay', callbackDue: 7 })
    const left = foldCall([
      opened(),
      { kind: 'arranged', contactRef: 'contact-1', reachBy: 'relay', callbackDue: 7, at: 1 },
      { kind: 'arranged', callbackDue: null, at: 2 },
    ] as CallEvent[])!
    expect([set.callbackDue, left.callbackDue, left.contactRef, left.reachBy]).toEqual([
      7,
      undefined,
      'contact-1',
      'relay',
    ])
  })

  test('a reopening takes the outcome away, and the clearing only where it was closed by mistake', () => {
    const close = { ...CLOSED, remedy: 'remedy/a' }
    const back = stateOf(FOUND, close, { kind: 'reopened', reason: 'came-back' })
    const mistake = stateOf(FOUND, close, { kind: 'reopened', reason: 'closed-by-mistake' })
    expect([back.outcome, mistake.outcome]).toEqual([undefined, undefined])
    expect([back.cleared, mistake.cleared]).toEqual([[{ at: 2, seq: 3 }], []])
  })
})
