import { mkdirSync } from 'node:fs'
import { dirname } from 'node:path'
import type { Client } from '@libsql/client'
import { drizzle } from 'drizzle-orm/libsql'
import { indexWaitingItems } from './catalogue/reindex.ts'
import type { Database } from './database.ts'
import { openRemoteDatabase } from './edge.ts'
import { embeddedClient } from './embedded-client.ts'
import { MIGRATIONS_FOLDER, migrate, readMigrations } from './migrate.ts'

export type { Database } from './database.ts'

const FILE = 'file:'

/** Path of the file behind an address; undefined for a database in memory or a remote one. */
export const fileOf = (url: string) => (url.startsWith(FILE) ? url.slice(FILE.length) : undefined)
const isEmbedded = (url: string) => url.startsWith(FILE) || url === ':memory:'

/** What each connection to a file must have by itself, since a setting would reach one connection only. */
const REQUIRED = { foreign_keys: 1, synchronous: 2 }

/** Journal ahead of the file, foreign keys held, every commit on the disk before it is acknowledged. */
async function settle(client: Client): Promise<void> {
  await client.execute('PRAGMA journal_mode = WAL')
  for (const [name, wanted] of Object.entries(REQUIRED)) {
    const { rows } = await client.execute(`PRAGMA ${name}`)
    if (Number(rows[0]?.[name]) !== wanted) throw new Error(`${name} must be ${wanted}, got ${rows[0]?.[name]}`)
  }
}

/** Opens a database on Node as it is, without touching its tables. */
export function connect(url: string, authToken?: string): Database {
  if (!isEmbedded(url)) return openRemoteDatabase(url, authToken)
  const client = embeddedClient(url)
  return { client, orm: drizzle(client) }
}

/** Opens a database on Node, makes its folder, sets its journal and brings its tables up to date. */
export async function openDatabase(
  url: string,
  authToken?: string,
  migrations = readMigrations(MIGRATIONS_FOLDER),
): Promise<Database> {
  const file = fileOf(url)
  if (file !== undefined) mkdirSync(dirname(file), { recursive: true })
  const database = connect(url, authToken)
  try {
    if (isEmbedded(url)) await settle(database.client)
    await migrate(database.client, migrations)
    await indexWaitingItems(database)
    return database
  } catch (error) {
    database.client.close()
    throw error
  }
}
