import { createKey } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { ask, createNodeApp, type Send } from './service.ts'

/** Two shops with calls over one database, and what a shop does with a call. */
export async function twoShops() {
  const database: Database = await openDatabase(':memory:')
  const app = createNodeApp(database)
  const as = async (shop: string, scope: 'calls' | 'catalogue' = 'calls'): Promise<Send> => {
    const key = await createKey(database, shop, [scope], 0)
    return async (path, init) =>
      app.request(path, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${key}` } })
  }
  const anyone: Send = async (path, init) => app.request(path, init)
  return {
    database,
    north: await as('north'),
    south: await as('south'),
    scopeless: await as('north', 'catalogue'),
    anyone,
  }
}

let keys = 0
export const newKey = () => `test-key-${keys++}`

export const open = (send: Send, body: object = {}, key = newKey()) =>
  ask(send, 'POST', '/v1/calls', body, { 'Idempotency-Key': key })

/** Adds to a call as it stands, or as `ifMatch` says. */
export async function add(send: Send, call: string, path: string, body: object, ifMatch?: string, key?: string) {
  const etag = ifMatch ?? (await ask(send, 'GET', `/v1/calls/${call}`)).headers.get('ETag')!
  const headers = { 'If-Match': etag, ...(key === undefined ? {} : { 'Idempotency-Key': key }) }
  return ask(send, 'POST', `/v1/calls/${call}/${path}`, body, headers)
}

export const MAINS = { kind: 'condition', condition: 'condition/mains-missing', state: 'present' }
export const BATTERY = { kind: 'condition', condition: 'condition/battery-low', state: 'present' }
export const found = (...findings: object[]) => ({ by: 'caller', findings })
export const CONFIRMED = {
  conclusion: 'confirmed',
  confirmed: [{ cause: 'cause/socket-switched-off', by: 'check' }],
  remedy: 'remedy/move-supply-to-unswitched-socket',
}

/** A call with findings, advice and an outcome. */
export async function closedCall(send: Send, opening: object = {}) {
  const { call } = (await open(send, opening)).body
  await add(send, call, 'findings', found(MAINS, BATTERY))
  await add(send, call, 'advice', {})
  return (await add(send, call, 'close', CONFIRMED)).body
}
