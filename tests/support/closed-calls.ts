import { type Database, write } from '../../src/store/database.ts'

export interface Ended {
  call: string
  closedAt?: number
  conclusion?: 'confirmed' | 'gone-by-itself' | 'not-confirmed'
  confirmed?: { cause: string; device?: string; by: string }[]
  remedy?: string
  predicted?: { cause: string; device?: string; probability: number; prior: number }[]
  ratesId?: string
}

/** Stores outcomes of calls as their close does. */
export async function closeCalls(database: Database, shop: string, list: readonly Ended[]): Promise<void> {
  await write(
    database,
    list.map(({ call, closedAt = Date.now() - 1000, confirmed = [], predicted = [], ...rest }) => ({
      sql: `insert into call_outcomes
        (shop_id, call_id, closed_at, release, engine, conclusion, confirmed, remedy, predicted, rates_id)
        values (?, ?, ?, '0.3.0', '0.3.0', ?, ?, ?, ?, ?)`,
      args: [
        shop,
        call,
        closedAt,
        rest.conclusion ?? 'confirmed',
        JSON.stringify(confirmed),
        rest.remedy ?? null,
        JSON.stringify(predicted),
        rest.ratesId ?? 'published',
      ],
    })),
  )
}

export async function eraseCalls(database: Database, shop: string): Promise<void> {
  await write(database, [{ sql: 'delete from call_outcomes where shop_id = ?', args: [shop] }])
}
