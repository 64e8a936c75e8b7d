import type { Client } from '@libsql/client'

/** Runs what is asked of a client: waits, repeats, and says what a failure means. */
type Run = <T>(work: (client: Client) => Promise<T>) => Promise<T>
/** How what may only read, what writes as one batch, and what changes tables are run. */
export interface Guard {
  read: Run
  write: Run
  migrate: Run
}

const refuse = (what: string) => Promise.reject(new Error(`${what}: writes go through one batch in the mode "write"`))

/**
 * A client with each call under a guard; `all` are the connections behind it. What the engine cannot do safely is
 * refused: a transaction that stays open between calls stalls the process, and one that reads before it writes fails at
 * once while another writer is busy.
 */
export function guardedClient(all: readonly [Client, ...Client[]], { read, write, migrate }: Guard): Client {
  const [first] = all
  return {
    // The overloads of execute take one or two arguments; both pass through.
    execute: (...args: unknown[]) =>
      read((client) => (client.execute as (...all: unknown[]) => ReturnType<Client['execute']>)(...args)),
    batch: (statements, mode) => {
      if (mode === 'read') return read((client) => client.batch(statements, mode))
      return mode === 'write' ? write((client) => client.batch(statements, mode)) : refuse(`batch in the mode ${mode}`)
    },
    migrate: (statements) => migrate((client) => client.migrate(statements)),
    transaction: () => refuse('an interactive transaction'),
    executeMultiple: () => refuse('many statements in one text'),
    sync: () => first.sync(),
    reconnect: async () => void (await Promise.all(all.map((client) => client.reconnect()))),
    close: () => {
      for (const client of all) client.close()
    },
    get closed() {
      return first.closed
    },
    protocol: first.protocol,
  }
}
