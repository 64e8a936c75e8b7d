import { type Api, send } from '../api.ts'
import { type Outcome, outcomeOf, type Workload } from './workload.ts'

const PARTS = 2
const ROWS_A_PART = 60
const CSV = { 'Content-Type': 'text/csv' }

/** One half of a catalogue, all of it at the price of its version. */
const partOf = (version: number, part: number) =>
  ['sku,title,part_class,price,currency']
    .concat(
      Array.from(
        { length: ROWS_A_PART },
        (_, row) => `S-${part}-${row},Battery,part-class/vrla-battery-12v,${(version / 100).toFixed(2)},EUR`,
      ),
    )
    .join('\n')

/** Versions whose commit was sent: no other may ever be found. */
const committed = new Set<string>()
/** Imports that were begun and not ended, by their thing. */
const begun = new Map<string, number>()

const open = (api: Api, thing: string, version: number) => {
  const body = { mode: 'atomic', replace: { maxRetiredFraction: 1 } }
  return send(api, 'POST', '/v1/catalogue/imports', body, { 'Idempotency-Key': `${thing}-${version}` })
}

/** Throws the import away that a cut left open: under the same key it is the same one. False when that got no answer. */
async function dropBegun(api: Api, thing: string): Promise<boolean> {
  const version = begun.get(thing)
  if (version === undefined) return true
  const known = await open(api, thing, version)
  if (known === undefined) return false
  if (known.body.status === 'open' && !(await send(api, 'DELETE', known.body.path))) return false
  begun.delete(thing)
  return true
}

async function importAll(api: Api, thing: string, version: number): Promise<Outcome> {
  begun.set(thing, version)
  const opened = await open(api, thing, version)
  if (opened?.status !== 201) return outcomeOf(opened)
  for (let part = 1; part <= PARTS; part++) {
    const taken = await send(api, 'PUT', `${opened.body.path}/parts/${part}`, partOf(version, part), CSV)
    if (taken?.status !== 200) return outcomeOf(taken)
  }
  committed.add(`${thing}-${version}`)
  const outcome = outcomeOf(await send(api, 'POST', `${opened.body.path}/commit`, { parts: PARTS }))
  if (outcome === 'acknowledged') begun.delete(thing)
  return outcome
}

/** Catalogues replaced over HTTP in parts: whole once the commit is acknowledged, else as before or whole, never a mix. */
export const imports: Workload = {
  name: 'staged imports over HTTP',
  canRemove: false,
  replaces: true,
  async write(ways, thing, version) {
    const api = await ways.shop(thing)
    if (api === undefined || !(await dropBegun(api, thing))) return 'unanswered'
    return importAll(api, thing, version)
  },
  async found(_, file, things) {
    const sql = `select shop_id, price_minor as version, count(*) as n from catalogue_items
where shop_id like 'imports-%' and retired_at is null group by shop_id, price_minor`
    const { rows } = await file.execute(sql)
    return rows
      .map(({ shop_id, version, n }) => {
        const isWhole = n === PARTS * ROWS_A_PART && committed.has(`${shop_id}-${version}`)
        return { thing: String(shop_id), version: isWhole ? Number(version) : Number.NaN }
      })
      .filter(({ thing }) => things.includes(thing))
  },
}
