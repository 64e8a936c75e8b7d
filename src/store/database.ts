import type { Client, InStatement } from '@libsql/client'
import type { LibSQLDatabase } from 'drizzle-orm/libsql'

/** An open database: the client for writes, drizzle for reads. */
export interface Database {
  client: Client
  orm: LibSQLDatabase
}

/**
 * The only way to write: one batch, begin to commit without yielding, so that it is whole or absent. Returns how many rows
 * changed. Locks and lost connections are the client's to heal.
 * @throws StoreError when the database cannot do its work
 */
export async function write({ client }: Database, statements: InStatement[]): Promise<number> {
  const results = await client.batch(statements, 'write')
  return results.reduce((sum, { rowsAffected }) => sum + rowsAffected, 0)
}
