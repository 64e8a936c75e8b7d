import type { Client, InStatement, ResultSet } from '@libsql/client'
import type { LibSQLDatabase } from 'drizzle-orm/libsql'

/** One statement of a batch. */
export type Statement = InStatement

/** An open database: the client for writes, drizzle for reads. */
export interface Database {
  client: Client
  orm: LibSQLDatabase
}

/**
 * The only way to write: one batch, begin to commit without yielding, so that it is whole or absent. Locks and lost
 * connections are the client's to heal.
 * @throws StoreError when the database cannot do its work
 */
export function writeReturning({ client }: Database, statements: InStatement[]): Promise<ResultSet[]> {
  return client.batch(statements, 'write')
}

/** Writes in one batch and returns how many rows each statement changed. */
export async function writeEach(database: Database, statements: InStatement[]): Promise<number[]> {
  return (await writeReturning(database, statements)).map(({ rowsAffected }) => rowsAffected)
}

/** Writes in one batch and returns how many rows changed in all. */
export async function write(database: Database, statements: InStatement[]): Promise<number> {
  return (await writeEach(database, statements)).reduce((sum, changed) => sum + changed, 0)
}
