import { type Client, createClient, LibsqlError } from '@libsql/client/web'
import { drizzle } from 'drizzle-orm/libsql/web'
import type { Database } from './database.ts'
import { guardedClient } from './guarded-client.ts'
import { causesOf, engineCode, faultOfEngine, StoreError } from './store-error.ts'

/** How long a remote database may take: a reader waits at the telephone, a migration may go through whole tables. */
export const ANSWERS_WITHIN_MS = { read: 5000, write: 10_000, migrate: 600_000 }
/** The transport is cut a little earlier, so that its own error is the one that is reported. */
const CUT_SHARE = 0.9
const TRIES_WHEN_BUSY = 3
const PAUSE_MS = 100

const sleep = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms))

/** Whether the request surely never reached the database, so that a write in it surely did nothing. */
function neverArrived(error: unknown): boolean {
  for (const cause of causesOf(error)) {
    const { code, status } = cause as { code?: unknown; status?: unknown }
    if (code === 'ECONNREFUSED' || code === 'ENOTFOUND') return true
    if (typeof status === 'number' && status >= 400 && status < 500) return true
  }
  return false
}

/** What a failed call means; an error of the statement itself passes as it is. */
function meant(error: unknown, isWrite: boolean): unknown {
  const fault = faultOfEngine(error)
  if (fault !== undefined) return new StoreError(fault, { cause: error })
  if (engineCode(error) !== '') return error
  return new StoreError('STORE_UNREACHABLE', { cause: error, isOutcomeUnknown: isWrite && !neverArrived(error) })
}

async function within<T>(ms: number, run: () => Promise<T>): Promise<T> {
  let timer: ReturnType<typeof setTimeout> | undefined
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new LibsqlError(`no answer within ${ms} ms`, 'TIMEOUT')), ms)
  })
  return Promise.race([run(), late]).finally(() => clearTimeout(timer))
}

/** A connection whose every request is cut after a while. */
function cutClient(url: string, authToken: string | undefined, withinMs: number): Client {
  const cut = (input: Request | string | URL, init?: RequestInit) =>
    fetch(input, { ...init, signal: AbortSignal.timeout(withinMs * CUT_SHARE) })
  return createClient({ url, fetch: cut, ...(authToken === undefined ? {} : { authToken }) })
}

async function persist<T>(withinMs: number, isWrite: boolean, run: () => Promise<T>): Promise<T> {
  for (let tries = 1; ; tries++) {
    try {
      return await within(withinMs, run)
    } catch (thrown) {
      const error = meant(thrown, isWrite)
      const isWorthATry = error instanceof StoreError && error.code === 'STORE_BUSY' && tries < TRIES_WHEN_BUSY
      if (!isWorthATry) throw error
      await sleep(PAUSE_MS * tries)
    }
  }
}

/**
 * A client of a remote database that never hangs. Each call is one request of its own, so that nothing is left over from
 * a failed one; a call is repeated only where the database itself said that it was busy and had done nothing.
 */
export function remoteClient(url: string, authToken: string | undefined, limits = ANSWERS_WITHIN_MS): Client {
  const reader = cutClient(url, authToken, limits.read)
  const writer = cutClient(url, authToken, limits.write)
  const migrator = cutClient(url, authToken, limits.migrate)
  return guardedClient([reader, writer, migrator], {
    read: (work) => persist(limits.read, false, () => work(reader)),
    write: (work) => persist(limits.write, true, () => work(writer)),
    migrate: (work) => persist(limits.migrate, true, () => work(migrator)),
  })
}

/** Opens a remote database over HTTP; its tables are brought up to date from Node before deployment. */
export function openRemoteDatabase(url: string, authToken: string | undefined): Database {
  const client = remoteClient(url, authToken)
  return { client, orm: drizzle(client) as Database['orm'] }
}
