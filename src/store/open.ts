import { mkdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { createClient } from '@libsql/client'
import { drizzle } from 'drizzle-orm/libsql'
import { migrate } from 'drizzle-orm/libsql/migrator'
import { indexWaitingItems } from './catalogue/reindex.ts'
import type { Database } from './database.ts'

export type { Database } from './database.ts'

const BUSY_TIMEOUT_MS = 5000

/** Opens a database on Node, makes its folder, sets its journal and brings its tables up to date. */
export async function openDatabase(url: string, authToken?: string): Promise<Database> {
  const isFile = url.startsWith('file:')
  if (isFile) mkdirSync(dirname(url.slice('file:'.length)) || '.', { recursive: true })
  const client = createClient({ url, timeout: BUSY_TIMEOUT_MS, ...(authToken === undefined ? {} : { authToken }) })
  if (isFile) await client.execute('PRAGMA journal_mode = WAL')
  const orm = drizzle(client)
  await migrate(orm, { migrationsFolder: join(import.meta.dirname, 'migrations') })
  const database = { client, orm }
  await indexWaitingItems(database)
  return database
}
