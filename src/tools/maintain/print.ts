import { RefusedError } from '../../store/backup.ts'
import type { CheckReport } from '../../store/check.ts'
import { fileOf } from '../../store/open.ts'
import { EXPECTED_LEVEL } from '../../store/schema-level.ts'
import { storeErrorIn } from '../../store/store-error.ts'

/** The address of the database that the service uses. */
export const DATABASE_URL = process.env.DATABASE_URL ?? 'file:data/atlas.db'

/** The database file that the service uses. */
export function databaseFile(): string {
  const file = fileOf(DATABASE_URL)
  if (file === undefined) throw new RefusedError(`${DATABASE_URL} is no file; ask the host of a remote database`)
  return file
}

/** What a check found, in lines. */
export function linesOf({ damage, looseEnds, level, rows }: CheckReport): string[] {
  const behind =
    level.lacking.length > 0 ? `, ${level.lacking.length} of ${EXPECTED_LEVEL.length} migrations to come` : ''
  const ahead = level.unknown > 0 ? `, ${level.unknown} migrations of a newer edition` : ''
  return [
    damage.length === 0 ? 'integrity: ok' : `integrity: ${damage.length} faults\n  ${damage.join('\n  ')}`,
    looseEnds.length === 0
      ? 'foreign keys: ok'
      : `foreign keys: ${looseEnds.length} faults\n  ${looseEnds.join('\n  ')}`,
    `tables: ${level.at ?? 'none of this service'}${behind}${ahead}`,
    `rows: ${Object.entries(rows)
      .map(([table, count]) => `${table} ${count}`)
      .join(', ')}`,
  ]
}

/** Runs a command; a refusal is told in one line and ends it with 1. */
export async function command(run: () => Promise<boolean>): Promise<void> {
  try {
    if (!(await run())) process.exitCode = 1
  } catch (error) {
    const told = error instanceof RefusedError ? error : storeErrorIn(error)
    if (told === undefined) throw error
    console.error(told.message)
    process.exitCode = 1
  }
}
