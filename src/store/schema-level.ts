import type { Client } from '@libsql/client'
import journal from './migrations/meta/_journal.json' with { type: 'json' }
import { engineCode, StoreError } from './store-error.ts'

/** Where the database keeps which migrations it has had. */
export const JOURNAL_TABLE = '__drizzle_migrations'

/** The migrations that this service was built with, oldest first. */
export const EXPECTED_LEVEL = journal.entries.map(({ tag, when }) => ({ tag, when }))

export interface SchemaLevel {
  /** The newest migration of this service that the database has had; undefined before the first. */
  at: string | undefined
  /** Migrations of this service that the database still lacks. */
  lacking: string[]
  /** Migrations that the database has had and this service does not know. */
  unknown: number
}

/** How far the tables of a database are. */
export async function schemaLevel(client: Client): Promise<SchemaLevel> {
  const rows = await client.execute(`select created_at from ${JOURNAL_TABLE}`).then(
    (result) => result.rows,
    (error: unknown) => {
      if (engineCode(error) === 'SQLITE_ERROR') return []
      throw error
    },
  )
  const had = new Set(rows.map((row) => Number(row.created_at)))
  const lacking = EXPECTED_LEVEL.filter(({ when }) => !had.has(when)).map(({ tag }) => tag)
  const known = EXPECTED_LEVEL.filter(({ when }) => had.has(when))
  return { at: known.at(-1)?.tag, lacking, unknown: had.size - known.length }
}

/**
 * Refuses tables that are behind the service. Tables ahead of it are let pass: a new edition migrates them before it takes
 * over from an old one that still serves.
 * @throws StoreError STORE_OUTDATED
 */
export async function refuseOutdated(client: Client): Promise<string> {
  const { at, lacking } = await schemaLevel(client)
  if (lacking.length === 0 && at !== undefined) return at
  const detail = `The tables of the database lack ${lacking.length} of ${EXPECTED_LEVEL.length} migrations, beginning with ${lacking[0]}`
  throw new StoreError('STORE_OUTDATED', { detail })
}
