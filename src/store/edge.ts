import { createClient } from '@libsql/client/web'
import { drizzle } from 'drizzle-orm/libsql/web'
import type { Database } from './database.ts'

/** Opens a remote database over HTTP; its tables are brought up to date from Node before deployment. */
export function openRemoteDatabase(url: string, authToken: string | undefined): Database {
  const client = createClient({ url, ...(authToken === undefined ? {} : { authToken }) })
  return { client, orm: drizzle(client) as Database['orm'] }
}
