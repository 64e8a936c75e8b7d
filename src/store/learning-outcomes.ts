import type { Database } from './database.ts'

/** A stored outcome without what the engine held of each cause; of that only which devices it kept apart. */
export interface StoredOutcome {
  callId: string
  closedAt: number
  conclusion: string
  /** JSON list of { cause, device?, by }. */
  confirmed: string
  remedy: string | null
  /** JSON list of names. */
  devices: string
  hasUnnamedDevice: boolean
}

const PAGE = 500

/** How many outcomes a shop has in a span, and what tells them from another such lot. */
export async function outcomesMark(
  { client }: Database,
  shopId: string,
  from: number,
  before: number,
): Promise<string> {
  const { rows } = await client.execute({
    sql: `select count(*) as n, count(remedy) as cleared, coalesce(sum(closed_at), 0) as total,
      coalesce(max(closed_at), 0) as latest
      from call_outcomes where shop_id = ? and closed_at >= ? and closed_at < ?`,
    args: [shopId, from, before],
  })
  const { n, cleared, total, latest } = rows[0]!
  return `${n} ${cleared} ${total} ${latest}`
}

/** A shop's outcomes of a span, oldest first, page by page. `perDevice` names the causes of devices. */
export async function* outcomesBetween(
  { client }: Database,
  shopId: string,
  { from, before }: { from: number; before: number },
  perDevice: readonly string[],
): AsyncGenerator<StoredOutcome[]> {
  const sql = `select call_id, closed_at, conclusion, confirmed, remedy,
      case when instr(predicted, '"device"') = 0 then '[]' else
        (select json_group_array(device) from (select distinct json_extract(value, '$.device') as device
          from json_each(predicted)) where device is not null) end as devices,
      exists (select 1 from json_each(predicted) where json_extract(value, '$.device') is null
        and json_extract(value, '$.probability') > 0
        and json_extract(value, '$.cause') in (select value from json_each(?5))) as is_unnamed
    from call_outcomes
    where shop_id = ?1 and (closed_at, call_id) > (?2, ?3) and closed_at < ?4
    order by closed_at, call_id limit ${PAGE}`
  let [closedAt, callId] = [from - 1, '\u{10ffff}']
  for (;;) {
    const { rows } = await client.execute({ sql, args: [shopId, closedAt, callId, before, JSON.stringify(perDevice)] })
    const page = rows.map((row) => ({
      callId: String(row.call_id),
      closedAt: Number(row.closed_at),
      conclusion: String(row.conclusion),
      confirmed: String(row.confirmed),
      remedy: row.remedy === null ? null : String(row.remedy),
      devices: String(row.devices),
      hasUnnamedDevice: Number(row.is_unnamed) === 1,
    }))
    if (page.length > 0) yield page
    if (page.length < PAGE) return
    ;({ closedAt, callId } = page.at(-1)!)
  }
}

/** Outcomes with what the engine held at the close, the newest first. */
export async function newestPredictions(
  { client }: Database,
  shopId: string,
  { from, before, limit }: { from: number; before: number; limit: number },
) {
  const { rows } = await client.execute({
    sql: `select closed_at, confirmed, remedy, predicted, rates_id from call_outcomes
      where shop_id = ? and conclusion = 'confirmed' and closed_at >= ? and closed_at < ?
      order by closed_at desc, call_id desc limit ?`,
    args: [shopId, from, before, limit],
  })
  return rows.map((row) => ({
    closedAt: Number(row.closed_at),
    confirmed: String(row.confirmed),
    remedy: row.remedy === null ? null : String(row.remedy),
    predicted: String(row.predicted),
    ratesId: String(row.rates_id),
  }))
}
