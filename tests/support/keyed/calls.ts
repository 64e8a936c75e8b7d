import type { Send } from '../service.ts'
import { ANY_STATE, type Borrowed, done, type Kind, type Made, newIdempotencyKey, type Request } from './kind.ts'

/** Calls, what is learned from them, and the settings of both. */

const MAINS = { kind: 'condition', condition: 'condition/mains-missing', state: 'present' }
const CONFIRMED = {
  conclusion: 'confirmed',
  confirmed: [{ cause: 'cause/socket-switched-off', by: 'check' }],
  remedy: 'remedy/move-supply-to-unswitched-socket',
}
const add = (owner: Send, call: string, what: string, body: object) =>
  done(owner, 'POST', `/v1/calls/${call}/${what}`, body, ANY_STATE)
const open = (owner: Send, body: object): Promise<{ call: string }> =>
  done(owner, 'POST', '/v1/calls', body, newIdempotencyKey())

const sent = (body: object) => (): Request => ({ body, headers: ANY_STATE })
/** A request that a call takes only once it is closed. */
const sentToClosed =
  (body: object) =>
  async ({ params }: Made, owner: Send) => {
    await add(owner, params.call!, 'close', CONFIRMED)
    return { body, headers: ANY_STATE }
  }

const CALLS: Kind = {
  under: '/v1/calls',
  make: async (owner, nth) => {
    const siteRef = `site-of-${nth}`
    const text = `noted as ${nth}`
    const { call } = await open(owner, { siteRef })
    await add(owner, call, 'findings', { by: 'caller', findings: [{ ...MAINS, device: `device-of-${nth}` }] })
    const { seq } = await add(owner, call, 'advice', {})
    await add(owner, call, 'notes', { by: 'shop', text })
    return { params: { call, seq: `${seq}` }, marks: [call, siteRef, text, `device-of-${nth}`] }
  },
  requests: {
    createCall: () => ({ body: { siteRef: 'site-0147' }, headers: newIdempotencyKey() }),
    eraseCall: () => ({ headers: ANY_STATE }),
    addFindings: sent({ by: 'caller', findings: [MAINS] }),
    recordStep: sent({ kind: 'asked', by: 'shop', check: 'check/see-lights-dim' }),
    addNote: sent({ by: 'shop', text: 'Rings again in ten minutes.' }),
    arrangeContact: sent({ contactRef: 'contact-88', reachBy: 'relay', callbackDue: '2026-03-02T14:00:00Z' }),
    recordAttempt: sent({ reachBy: 'voice', outcome: 'no-answer' }),
    adviseCall: sent({}),
    closeCall: sent(CONFIRMED),
    // As of now, the answer changes by the minute.
    getCallNotices: () => ({ query: '?asOf=2026-03-02T14:00:00Z' }),
    followUpCall: sentToClosed({ by: 'caller', answer: 'cleared' }),
    reopenCall: sentToClosed({ reason: 'came-back' }),
  },
  readAt: ({ params }) => `/v1/calls/${params.call}`,
}

const CALL_SETTINGS: Kind = {
  under: '/v1/calls/settings',
  make: async (owner, nth) => {
    const retentionDays = 400 + (nth % 3000)
    await done(owner, 'PUT', '/v1/calls/settings', { retentionDays }, ANY_STATE)
    return { params: {}, marks: [`"retentionDays":${retentionDays}`] }
  },
  requests: { putCallSettings: sent({ retentionDays: 30 }) },
  readAt: () => '/v1/calls/settings',
}

const RATES: Kind = {
  under: '/v1/rates',
  make: async (owner) => {
    const { call } = await open(owner, {})
    await add(owner, call, 'findings', { by: 'caller', findings: [MAINS] })
    await add(owner, call, 'close', CONFIRMED)
    const { basis } = await done(owner, 'GET', '/v1/rates')
    const { id } = basis.rates
    return { params: { id }, marks: [id] }
  },
  requests: {},
  readAt: ({ params }) => `/v1/rates/${params.id}`,
}

const RATE_SETTINGS: Kind = {
  under: '/v1/rates/settings',
  make: async (owner, nth) => {
    const countsFrom = new Date(nth * 1000).toISOString()
    const body = { learning: true, pooling: false, countsFrom }
    await done(owner, 'PUT', '/v1/rates/settings', body, ANY_STATE)
    return { params: {}, marks: [countsFrom] }
  },
  requests: { putRateSettings: sent({ learning: false, pooling: false, countsFrom: null }) },
  readAt: () => '/v1/rates/settings',
}

export const CALL_KINDS = [CALLS, CALL_SETTINGS, RATES, RATE_SETTINGS]

export const BORROWED_RATES: Borrowed[] = [
  {
    kind: '/v1/rates',
    path: '/v1/diagnose',
    body: ({ params }) => ({ findings: [MAINS], rates: params.id }),
  },
]
