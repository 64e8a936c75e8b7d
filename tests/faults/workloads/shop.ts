import { type Api, send } from '../api.ts'
import { outcomeOf, type Workload } from './workload.ts'

/** What a shop keeps of itself: its keys and its settings. */

/** The newest key of each shop as it was told, and its version. */
const newest = new Map<string, { key: string; id: string; version: number }>()

/** Versions of the keys of a shop. The newest that was told must open the service. */
async function keysOf(api: Api, thing: string) {
  const versions: number[] = []
  for (let cursor = ''; ; ) {
    const page = (await send(api, 'GET', `/v1/keys?limit=200${cursor}`))!.body
    for (const { label } of page.items) if (label?.startsWith('v')) versions.push(Number(label.slice(1)))
    if (page.next === undefined) break
    cursor = `&cursor=${encodeURIComponent(page.next)}`
  }
  const last = newest.get(thing)
  const opens = last && (await send({ ...api, key: last.key }, 'GET', '/v1/overlays'))
  return (opens?.status ?? 200) === 200 ? versions : versions.filter((version) => version !== last!.version)
}

/** Keys made over HTTP, each in the place of the one before, which is revoked: all stay in the list. */
export const keyring: Workload = {
  name: 'keys over HTTP',
  canRemove: false,
  replaces: false,
  async write(ways, thing, version) {
    const api = await ways.shop(thing)
    if (api === undefined) return 'unanswered'
    const before = newest.get(thing)
    // From here on it may be revoked, answered or not.
    newest.delete(thing)
    if (before && !(await send(api, 'POST', `/v1/keys/${before.id}/revoke`))) return 'unanswered'
    const made = await send(api, 'POST', '/v1/keys', { label: `v${version}`, scopes: ['overlays'] })
    if (made?.status === 201) newest.set(thing, { key: made.body.key, id: made.body.id, version })
    return outcomeOf(made)
  },
  async found(ways, _, things) {
    const all = things.map(async (thing) => {
      const api = await ways.shop(thing)
      const versions = api === undefined ? [] : await keysOf(api, thing)
      return versions.map((version) => ({ thing, version }))
    })
    return (await Promise.all(all)).flat()
  },
}

const isLearning = (version: number) => version % 2 === 0

/** Settings of learning over HTTP: their two fields must always be of the same version. */
export const settings: Workload = {
  name: 'settings of rates over HTTP',
  canRemove: false,
  replaces: true,
  async write(ways, thing, version) {
    const api = await ways.shop(thing)
    if (api === undefined) return 'unanswered'
    const body = { learning: isLearning(version), pooling: false, countsFrom: new Date(version * 1000).toISOString() }
    return outcomeOf(await send(api, 'PUT', '/v1/rates/settings', body, { 'If-Match': '*' }))
  },
  async found(ways, _, things) {
    const all = things.map(async (thing) => {
      const api = await ways.shop(thing)
      const body = api && (await send(api, 'GET', '/v1/rates/settings'))!.body
      if (!body?.countsFrom) return []
      const version = Date.parse(body.countsFrom) / 1000
      return [{ thing, version: body.learning === isLearning(version) ? version : Number.NaN }]
    })
    return (await Promise.all(all)).flat()
  },
}
