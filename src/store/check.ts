import type { Client } from '@libsql/client'
import type { Database } from './database.ts'
import { EXPECTED_LEVEL, type SchemaLevel, schemaLevel } from './schema-level.ts'
import { storeErrorIn } from './store-error.ts'

export interface CheckReport {
  /** What the engine finds wrong in the file; empty when it is whole. */
  damage: string[]
  /** Rows that point to rows which are not there. */
  looseEnds: string[]
  level: SchemaLevel
  /** Rows by table. */
  rows: Record<string, number>
  isSound: boolean
}

const TABLES = `select name from pragma_table_list
where type in ('table', 'virtual') and schema = 'main' and name not like 'sqlite\\_%' escape '\\' order by name`

async function countRows(client: Client): Promise<Record<string, number>> {
  const { rows: tables } = await client.execute(TABLES)
  const counts: Record<string, number> = {}
  for (const { name } of tables) {
    const { rows } = await client.execute(`select count(*) as n from "${name}"`)
    counts[String(name)] = Number(rows[0]?.n)
  }
  return counts
}

async function lookThrough(client: Client): Promise<CheckReport> {
  const integrity = await client.execute('PRAGMA integrity_check')
  const damage = integrity.rows.map((row) => String(row.integrity_check)).filter((line) => line !== 'ok')
  const loose = await client.execute('PRAGMA foreign_key_check')
  const looseEnds = loose.rows.map(({ table, rowid, parent }) => `${table} row ${rowid} points to no ${parent}`)
  const level = await schemaLevel(client)
  const isSound = damage.length === 0 && looseEnds.length === 0 && level.at !== undefined && level.unknown === 0
  return { damage, looseEnds, level, rows: damage.length === 0 ? await countRows(client) : {}, isSound }
}

const UNREADABLE: Omit<CheckReport, 'damage'> = {
  looseEnds: [],
  level: { at: undefined, lacking: EXPECTED_LEVEL.map(({ tag }) => tag), unknown: 0 },
  rows: {},
  isSound: false,
}

/** Looks through a whole database file: pages and indexes, foreign keys, tables, rows. */
export async function checkDatabase({ client }: Database): Promise<CheckReport> {
  return lookThrough(client).catch((error: unknown) => {
    const fault = storeErrorIn(error)
    if (fault?.code !== 'STORE_DAMAGED') throw error
    return { ...UNREADABLE, damage: [String(fault.cause)] }
  })
}
