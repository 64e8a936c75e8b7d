import type { Client } from '@libsql/client'
import { type Api, send } from './api.ts'
import type { WriterProcess } from './writer-process.ts'

/** Through what a workload writes. */
export interface Ways {
  api: Api
  writer: WriterProcess
}
/** What a write was answered: kept; refused and so nothing changed; or no answer, so that either may be true. */
export type Outcome = 'acknowledged' | 'refused' | 'unanswered'

/** The version in which a thing is removed or was never there. */
export const ABSENT = 0

/**
 * One kind of writing that must survive every fault. A workload owns things; each is written by one client at a time, in
 * rising versions. To put another route under test, add its workload to `WORKLOADS`.
 */
export interface Workload {
  name: string
  /** Whether a thing can be removed again. */
  canRemove: boolean
  /** Whether a version replaces the one before; otherwise each version is a thing of its own beside the others. */
  replaces: boolean
  write: (ways: Ways, thing: string, version: number) => Promise<Outcome>
  /** Every version of every thing that is stored, as often as it is stored; a half of one is the version `NaN`. */
  found: (ways: Ways, file: Client, things: readonly string[]) => Promise<{ thing: string; version: number }[]>
}

const outcomeOf = (answer: { status: number; body: { detail?: string } } | undefined): Outcome => {
  if (answer === undefined || answer.body?.detail?.includes('not known')) return 'unanswered'
  return answer.status < 300 || answer.status === 404 ? 'acknowledged' : 'refused'
}

const overlays: Workload = {
  name: 'overlays over HTTP',
  canRemove: true,
  replaces: true,
  async write({ api }, thing, version) {
    const path = `/v1/overlays/${thing}`
    if (version === ABSENT) return outcomeOf(await send(api, 'DELETE', path))
    return outcomeOf(await send(api, 'PUT', path, { overlay: thing, version: `${version}` }))
  },
  async found({ api }, _, things) {
    const listed = await send(api, 'GET', '/v1/overlays')
    const names: string[] = listed!.body.items.map(({ overlay }: { overlay: string }) => overlay)
    const mine = names.filter((name) => things.includes(name))
    return Promise.all(
      mine.map(async (thing) => {
        const { body } = (await send(api, 'GET', `/v1/overlays/${thing}`))!
        return { thing, version: Number(body.version) }
      }),
    )
  },
}

/** Keys as they were told; each must open the service afterwards. */
const told = new Map<string, string>()

const keys: Workload = {
  name: 'keys by the command',
  canRemove: false,
  replaces: false,
  async write({ writer }, thing, version) {
    const done = await writer.order({ kind: 'key', shop: `${thing}-${version}` })
    if (done === undefined) return 'unanswered'
    told.set(`${thing}-${version}`, done.key)
    return 'acknowledged'
  },
  async found({ api }, file, things) {
    const { rows } = await file.execute("select shop_id from api_keys where shop_id like 'keys-%'")
    const all = rows.map(({ shop_id }) => {
      const [, thing = '', version] = /^(.*)-(\d+)$/.exec(String(shop_id)) ?? []
      return { thing, version: Number(version) }
    })
    for (const { thing, version } of all) {
      const key = told.get(`${thing}-${version}`)
      if (key === undefined) continue
      told.delete(`${thing}-${version}`)
      const opens = await send({ ...api, key }, 'GET', '/v1/overlays')
      if (opens?.status !== 200) return []
    }
    return all.filter(({ thing }) => things.includes(thing))
  },
}

const ROWS = 150
const csvOf = (version: number) =>
  ['sku,title,part_class,price,currency']
    .concat(
      Array.from(
        { length: ROWS },
        (_, row) => `S-${row},Battery,part-class/vrla-battery-12v,${(version / 100).toFixed(2)},EUR`,
      ),
    )
    .join('\n')

const catalogues: Workload = {
  name: 'catalogues by the command',
  canRemove: false,
  replaces: true,
  async write({ writer }, thing, version) {
    if ((await writer.order({ kind: 'key', shop: thing })) === undefined) return 'unanswered'
    const done = await writer.order({ kind: 'catalogue', shop: thing, csv: csvOf(version) })
    if (done === undefined) return 'unanswered'
    if (!done.isApplied) throw new Error(`the catalogue must be sound: ${JSON.stringify(done.faults[0])}`)
    return 'acknowledged'
  },
  async found(_, file, things) {
    const sql = `select shop_id, price_minor as version, count(*) as n from catalogue_items
where shop_id like 'catalogues-%' group by shop_id, price_minor`
    const { rows } = await file.execute(sql)
    return rows
      .map((row) => ({ thing: String(row.shop_id), version: row.n === ROWS ? Number(row.version) : Number.NaN }))
      .filter(({ thing }) => things.includes(thing))
  },
}

/** All kinds of writing that the runs put under load; things begin with the key of their workload. */
export const WORKLOADS: Record<string, Workload> = { overlays, keys, catalogues }
