/** What can be wrong with the database itself; everything else is a fault of ours. */
export type StoreFault =
  | 'STORE_BUSY'
  | 'STORE_DAMAGED'
  | 'STORE_FAILED'
  | 'STORE_FULL'
  | 'STORE_OUTDATED'
  | 'STORE_READ_ONLY'
  | 'STORE_UNREACHABLE'

const TEXTS: Record<StoreFault, string> = {
  STORE_BUSY: 'Another writer holds the database',
  STORE_DAMAGED: 'The file of the database is damaged',
  STORE_FAILED: 'The disk of the database failed',
  STORE_FULL: 'The disk of the database is full',
  STORE_OUTDATED: 'The tables of the database are not those of this service',
  STORE_READ_ONLY: 'The database cannot be written to',
  STORE_UNREACHABLE: 'The database does not answer',
}

/** The database could not do its work. A write is always whole or absent; `isOutcomeUnknown` where nobody can say which. */
export class StoreError extends Error {
  readonly code: StoreFault
  readonly isOutcomeUnknown: boolean

  constructor(code: StoreFault, options: { cause?: unknown; detail?: string; isOutcomeUnknown?: boolean } = {}) {
    super(options.detail ?? TEXTS[code], { cause: options.cause })
    this.code = code
    this.isOutcomeUnknown = options.isOutcomeUnknown ?? false
  }
}

/** First prefix that fits the engine's code decides. */
const BY_PREFIX: [prefix: string, fault: StoreFault][] = [
  ['SQLITE_BUSY', 'STORE_BUSY'],
  ['SQLITE_LOCKED', 'STORE_BUSY'],
  ['SQLITE_FULL', 'STORE_FULL'],
  ['SQLITE_READONLY', 'STORE_READ_ONLY'],
  ['SQLITE_CORRUPT', 'STORE_DAMAGED'],
  ['SQLITE_NOTADB', 'STORE_DAMAGED'],
  ['SQLITE_IOERR', 'STORE_FAILED'],
  ['SQLITE_CANTOPEN', 'STORE_FAILED'],
  ['SQLITE_PROTOCOL', 'STORE_FAILED'],
  ['SQLITE_NOMEM', 'STORE_FAILED'],
]

const MAX_CAUSES = 8

/** An error and what caused it, from the outside in. */
export function* causesOf(error: unknown): Generator<unknown> {
  let at = error
  for (let depth = 0; depth < MAX_CAUSES && at !== undefined && at !== null; depth++) {
    yield at
    at = (at as { cause?: unknown }).cause
  }
}

const codeOf = (error: unknown) => {
  const { code } = error as { code?: unknown }
  return typeof code === 'string' ? code : ''
}

/** The engine's own code for an error, such as SQLITE_BUSY; empty when it is none of the engine's. */
export function engineCode(error: unknown): string {
  for (const cause of causesOf(error)) if (codeOf(cause).startsWith('SQLITE_')) return codeOf(cause)
  return ''
}

/** What the engine's error says of the database; undefined when the statement is at fault. */
export function faultOfEngine(error: unknown): StoreFault | undefined {
  const code = engineCode(error)
  return code === '' ? undefined : BY_PREFIX.find(([prefix]) => code.startsWith(prefix))?.[1]
}

/** The fault of the database behind an error, however deep the query builder wrapped it. */
export function storeErrorIn(error: unknown): StoreError | undefined {
  for (const cause of causesOf(error)) if (cause instanceof StoreError) return cause
  return undefined
}
