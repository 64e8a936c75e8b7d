import type { Client, InStatement } from '@libsql/client'
import type { LibSQLDatabase } from 'drizzle-orm/libsql'

/** One statement of a batch. */
export type Statement = InStatement

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
 * begun, so it is tried once more.
 */
export async function write({ client }: Database, statements: InStatement[]): Promise<number> {
  const run = async () =>
    (await client.batch(statements, 'write')).reduce((sum, { rowsAffected }) => sum + rowsAffected, 0)
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

/** Whether the database answers and holds the tables. */
export async function isReady({ client }: Database): Promise<boolean> {
  return client.execute('select 1 from shops limit 1').then(
    () => true,
    () => false,
  )
}
