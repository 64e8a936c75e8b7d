import { type Database, write } from './database.ts'
import { JOURNAL_TABLE, refuseOutdated } from './schema-level.ts'
import { StoreError } from './store-error.ts'

/** A caller who asks whether to send work here does not wait long for the answer. */
const ANSWERS_WITHIN_MS = 2000
/** What was found holds this long, so that asking often does not write often. */
const HOLDS_MS = 1000

/** Writes a row as it is: only a write shows that there is room for a page and that nobody holds the database. */
const SAME_AGAIN = `update ${JOURNAL_TABLE} set created_at = created_at where rowid = (select max(rowid) from ${JOURNAL_TABLE})`

async function look(database: Database): Promise<string> {
  const schema = await refuseOutdated(database.client)
  await write(database, [SAME_AGAIN])
  return schema
}

async function soon<T>({ client }: Database, work: Promise<T>): Promise<T> {
  let timer: ReturnType<typeof setTimeout> | undefined
  const late = new Promise<never>((_, reject) => {
    const detail = `The database did not take a write within ${ANSWERS_WITHIN_MS} ms`
    const code = client.protocol === 'file' ? 'STORE_BUSY' : 'STORE_UNREACHABLE'
    timer = setTimeout(() => reject(new StoreError(code, { detail })), ANSWERS_WITHIN_MS)
  })
  return Promise.race([work, late]).finally(() => clearTimeout(timer))
}

/** Nobody needs to know whether a row that stays the same was written. */
const withoutDoubt = (error: unknown) =>
  error instanceof StoreError && error.isOutcomeUnknown ? new StoreError(error.code, { cause: error }) : error

/**
 * Asks whether the database answers, has the tables of this service and takes writes; resolves to its newest migration.
 * The answer is at most `HOLDS_MS` old.
 */
export function readinessOf(database: Database): () => Promise<string> {
  let found: { at: number; schema: string } | { at: number; error: unknown } | undefined
  return async () => {
    if (found === undefined || performance.now() - found.at > HOLDS_MS) {
      const at = performance.now()
      found = await soon(database, look(database)).then(
        (schema) => ({ at, schema }),
        (error: unknown) => ({ at, error: withoutDoubt(error) }),
      )
    }
    if ('error' in found) throw found.error
    return found.schema
  }
}
