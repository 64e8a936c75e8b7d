import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Client } from '@libsql/client'
import { JOURNAL_TABLE } from './schema-level.ts'
import { engineCode, StoreError } from './store-error.ts'

export interface Migration {
  tag: string
  hash: string
  /** When it was written; its place in the journal of the database. */
  when: number
  statements: string[]
}

export const MIGRATIONS_FOLDER = join(import.meta.dirname, 'migrations')

/** The migrations of a folder, oldest first. */
export function readMigrations(folder: string): Migration[] {
  const journal = JSON.parse(readFileSync(join(folder, 'meta/_journal.json'), 'utf8'))
  return journal.entries.map(({ tag, when }: { tag: string; when: number }) => {
    const text = readFileSync(join(folder, `${tag}.sql`), 'utf8')
    const hash = createHash('sha256').update(text).digest('hex')
    return { tag, hash, when, statements: text.split('--> statement-breakpoint') }
  })
}

/** Enters a migration in the journal; fails where the journal has moved on meanwhile, since then the hash is null. */
const ENTER = `insert into ${JOURNAL_TABLE} (hash, created_at)
values ((select ?1 where (select count(*) from ${JOURNAL_TABLE}) = ?3), ?2)`
/** Fails where rows point to nothing; foreign keys are off while a migration rebuilds tables. */
const REFUSE_LOOSE_ENDS = `update ${JOURNAL_TABLE} set hash = null where exists (select 1 from pragma_foreign_key_check)`
/** The table as the query builder's own migrator has made it in databases that exist. */
const CREATE_JOURNAL = `create table if not exists "${JOURNAL_TABLE}" (
  id SERIAL PRIMARY KEY,
  hash text NOT NULL,
  created_at numeric
)`

async function hashesHad(client: Client): Promise<string[]> {
  const { rows } = await client.execute(`select hash from ${JOURNAL_TABLE} order by rowid`)
  return rows.map(({ hash }) => String(hash))
}

function refuseNewer(had: readonly string[], migrations: readonly Migration[]): void {
  const known = new Set(migrations.map(({ hash }) => hash))
  const strange = had.filter((hash) => !known.has(hash)).length
  if (strange === 0) return
  const detail = `The database has had ${strange} migrations that this edition does not know: it belongs to a newer one`
  throw new StoreError('STORE_OUTDATED', { detail })
}

/**
 * Brings the tables up to date. Each migration and its entry in the journal are one transaction: a process that is killed
 * leaves it whole or absent, and of several that start at once one does it and the others find it done.
 * @throws StoreError STORE_OUTDATED when the database has had a migration that is not among these
 */
export async function migrate(client: Client, migrations: readonly Migration[]): Promise<void> {
  await client.migrate([CREATE_JOURNAL])
  for (;;) {
    const had = await hashesHad(client)
    refuseNewer(had, migrations)
    const next = migrations.find(({ hash }) => !had.includes(hash))
    if (next === undefined) return
    const enter = { sql: ENTER, args: [next.hash, next.when, had.length] }
    const loose = client.protocol === 'file' ? [REFUSE_LOOSE_ENDS] : []
    await client.migrate([enter, ...next.statements, ...loose]).catch(async (error: unknown) => {
      const hasMovedOn =
        engineCode(error).startsWith('SQLITE_CONSTRAINT') && (await hashesHad(client)).length > had.length
      if (!hasMovedOn) throw new Error(`migration ${next.tag} failed and changed nothing`, { cause: error })
    })
  }
}
