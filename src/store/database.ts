import type { Client, InStatement } from '@libsql/client'
import type { LibSQLDatabase } from 'drizzle-orm/libsql'

/** An open database: the client for writes, drizzle for reads. */
export interface Database {
  client: Client
  orm: LibSQLDatabase
}

const isBusy = (error: unknown) =>
  typeof (error as { code?: unknown }).code === 'string' && (error as { code: string }).code.startsWith('SQLITE_BUSY')

/**
 * The only way to write: one batch, begin to commit without yielding. After any SQLITE_BUSY the connection would
 * acknowledge writes that never reach the file, so it is replaced before anything else happens on it; the batch had not
 * begun, so it is tried once more. Returns how many rows each statement changed.
 */
export async function writeEach({ client }: Database, statements: InStatement[]): Promise<number[]> {
  const run = async () => (await client.batch(statements, 'write')).map(({ rowsAffected }) => rowsAffected)
  try {
    return await run()
  } catch (error) {
    if (!isBusy(error)) throw error
    await client.reconnect()
    return run().catch(async (again: unknown) => {
      if (isBusy(again)) await client.reconnect()
      throw again
    })
  }
}

/** Writes in one batch and returns how many rows changed in all. */
export async function write(database: Database, statements: InStatement[]): Promise<number> {
  return (await writeEach(database, statements)).reduce((sum, changed) => sum + changed, 0)
}

/** Whether the database answers and holds the tables. */
export async function isReady({ client }: Database): Promise<boolean> {
  return client.execute('select 1 from shops limit 1').then(
    () => true,
    () => false,
  )
}
