import { type Client, createClient, LibsqlError } from '@libsql/client'
import { guardedClient } from './guarded-client.ts'
import { faultOfEngine, StoreError } from './store-error.ts'

/** The engine waits for a lock without yielding, so it may wait this long only; the rest is waited for outside it. */
const ENGINE_WAITS_MS = 5
/** How long a statement keeps trying to get past another writer. */
export const PATIENCE_MS = 5000
const FIRST_PAUSE_MS = 2
const LONGEST_PAUSE_MS = 20

const sleep = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms))
const isClosedUnder = (error: unknown) => error instanceof LibsqlError && error.code === 'CLIENT_CLOSED'

/** Runs one piece of work after the other, in the order in which they came. */
function turns() {
  let last: Promise<unknown> = Promise.resolve()
  return <T>(work: () => Promise<T>): Promise<T> => {
    const mine = last.then(work)
    last = mine.catch(() => undefined)
    return mine
  }
}

/**
 * A client of a database file that heals itself.
 *
 * After any SQLITE_BUSY, and to be safe after any other failure of the file, the engine's connection would acknowledge
 * writes that never reach the file and read an old state: it is replaced before anything else happens on it. A statement
 * or batch that met a lock had changed nothing, so it is tried again until `patienceMs` have passed. Meanwhile the
 * process goes on: writes queue behind each other instead of each holding up everything.
 */
export function embeddedClient(url: string, patienceMs = PATIENCE_MS): Client {
  const inner = createClient({ url, timeout: ENGINE_WAITS_MS, concurrency: 1 })
  const inTurn = turns()

  async function persist<T>(work: (client: Client) => Promise<T>, deadline: number): Promise<T> {
    for (let pause = FIRST_PAUSE_MS; ; pause = Math.min(2 * pause, LONGEST_PAUSE_MS)) {
      try {
        return await work(inner)
      } catch (error) {
        const wasReplaced = isClosedUnder(error) && !inner.closed
        const fault = faultOfEngine(error)
        if (!wasReplaced && fault === undefined) throw error
        if (fault !== undefined) await inner.reconnect()
        if (fault !== undefined && fault !== 'STORE_BUSY') throw new StoreError(fault, { cause: error })
        if (performance.now() >= deadline) throw new StoreError('STORE_BUSY', { cause: error })
        if (!wasReplaced) await sleep(pause)
      }
    }
  }
  const now = <T>(work: (client: Client) => Promise<T>) => persist(work, performance.now() + patienceMs)
  const queued = <T>(work: (client: Client) => Promise<T>) => {
    const deadline = performance.now() + patienceMs
    return inTurn(() => persist(work, deadline))
  }
  return guardedClient([inner], { read: now, write: queued, migrate: queued })
}
