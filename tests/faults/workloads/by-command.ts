import { send } from '../api.ts'
import type { Workload } from './workload.ts'

/** What commands write into the file beside the service. */

/** Keys as they were told; each must open the service afterwards. */
const told = new Map<string, string>()

export const keys: Workload = {
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

export const catalogues: Workload = {
  name: 'catalogues by the command',
  canRemove: false,
  replaces: true,
  async write({ writer }, thing, version) {
    if ((await writer.order({ kind: 'key', shop: thing })) === undefined) return 'unanswered'
    const done = await writer.order({ kind: 'catalogue', shop: thing, csv: csvOf(version) })
    if (done === undefined) return 'unanswered'
    if (done.faults.length > 0) throw new Error(`the catalogue must be sound: ${JSON.stringify(done.faults[0])}`)
    // Imports that were killed stay open for a while, and there may be only so many.
    return done.isApplied ? 'acknowledged' : 'refused'
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
