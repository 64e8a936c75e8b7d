import type { Client } from '@libsql/client'

/** How a client runs what may only read, and what writes as one batch. */
export interface Guard {
  read: <T>(run: () => Promise<T>) => Promise<T>
  write: <T>(run: () => Promise<T>) => Promise<T>
}

const refuse = (what: string) => Promise.reject(new Error(`${what}: writes go through one batch in the mode "write"`))

/**
 * The client with each call under a guard. What the engine cannot do safely is refused: a transaction that stays open
 * between calls stalls the process, and one that reads before it writes fails at once while another writer is busy.
 */
export function guardedClient(inner: Client, { read, write }: Guard): Client {
  return {
    // The overloads of execute take one or two arguments; both pass through.
    execute: (...args: unknown[]) =>
      read(() => (inner.execute as (...all: unknown[]) => ReturnType<Client['execute']>)(...args)),
    batch: (statements, mode) => {
      if (mode === 'read') return read(() => inner.batch(statements, mode))
      return mode === 'write' ? write(() => inner.batch(statements, mode)) : refuse(`batch in the mode ${mode}`)
    },
    migrate: (statements) => write(() => inner.migrate(statements)),
    transaction: () => refuse('an interactive transaction'),
    executeMultiple: () => refuse('many statements in one text'),
    sync: () => inner.sync(),
    reconnect: () => inner.reconnect(),
    close: () => inner.close(),
    get closed() {
      return inner.closed
    },
    protocol: inner.protocol,
  }
}
