import { chmodSync, closeSync, existsSync, fsyncSync, mkdirSync, openSync, renameSync, rmSync } from 'node:fs'
import { dirname } from 'node:path'
import { type CheckReport, checkDatabase } from './check.ts'
import type { Database } from './database.ts'
import { embeddedClient } from './embedded-client.ts'
import { connect } from './open.ts'
import { StoreError, storeErrorIn } from './store-error.ts'

/** A refusal that a person can act on. */
export class RefusedError extends Error {}

/** A backup holds what shops keep to themselves. */
const OWNER_ONLY = 0o600

/** Makes sure that a file or a folder's list of files is on the disk. */
function flush(path: string): void {
  const handle = openSync(path, 'r')
  fsyncSync(handle)
  closeSync(handle)
}

/** Puts a finished file under its name: it is there whole, also after a loss of power, or not at all. */
function publish(partial: string, path: string): void {
  flush(partial)
  renameSync(partial, path)
  flush(dirname(path))
}

/** Looks through a database file without changing its tables. */
export async function checkFile(path: string): Promise<CheckReport> {
  if (!existsSync(path)) throw new RefusedError(`there is no file ${path}`)
  const database = connect(`file:${path}`)
  return checkDatabase(database).finally(() => database.client.close())
}

function refuseUnsound(path: string, { isSound, damage, looseEnds, level }: CheckReport): void {
  if (isSound) return
  const [first = 'its tables are not those of this service'] = [...damage, ...looseEnds]
  const unknown = level.unknown > 0 ? '; it belongs to a newer edition' : ''
  throw new RefusedError(`${path} is not sound: ${first}${unknown}`)
}

/**
 * Copies a database as it is at one moment, while others go on writing, and checks the copy.
 * @throws RefusedError when the file is there already or the copy is not sound
 */
export async function backUp({ client }: Database, path: string): Promise<CheckReport> {
  if (client.protocol !== 'file')
    throw new RefusedError('only a database file can be copied; ask the host of a remote one')
  if (existsSync(path)) throw new RefusedError(`${path} is there already; a backup is never overwritten`)
  const partial = `${path}.partial`
  mkdirSync(dirname(path), { recursive: true })
  rmSync(partial, { force: true })
  try {
    await client.execute({ sql: 'VACUUM INTO ?', args: [partial] })
    const report = await checkFile(partial)
    refuseUnsound(path, report)
    chmodSync(partial, OWNER_ONLY)
    publish(partial, path)
    return report
  } finally {
    rmSync(partial, { force: true })
  }
}

/** How long a process that is just ending may take to let go of the file. */
const LETS_GO_WITHIN_MS = 1000

const SIDE_FILES = ['-wal', '-shm']

/**
 * Brings everything of a database into its one file and makes sure that nobody else has it open, since a process that
 * has would go on writing into the file put aside.
 */
async function closeDown(path: string): Promise<void> {
  const client = embeddedClient(`file:${path}`, LETS_GO_WITHIN_MS)
  const isHeld = await client
    .execute('PRAGMA journal_mode = DELETE')
    .then(({ rows }) => rows[0]?.journal_mode !== 'delete')
    .catch((error: unknown) => {
      // A damaged file serves nobody; it is put aside as it is.
      if (storeErrorIn(error)?.code === 'STORE_DAMAGED') return false
      if (error instanceof StoreError && error.code === 'STORE_BUSY') return true
      throw error
    })
    .finally(() => client.close())
  if (isHeld) throw new RefusedError(`${path} is open in another process; stop the service first`)
}

function freeName(path: string): string {
  for (let number = 1; ; number++) {
    const name = `${path}.before-restore-${number}`
    if (!existsSync(name)) return name
  }
}

/** Moves a database out of the way, with what belongs to it; never removes it. */
function putAside(path: string): string {
  const aside = freeName(path)
  renameSync(path, aside)
  for (const side of SIDE_FILES) if (existsSync(path + side)) renameSync(path + side, aside + side)
  return aside
}

export interface Restored {
  report: CheckReport
  /** Where the database that was there before is now. */
  aside: string | undefined
}

/**
 * Puts a backup in the place of a database file. What is there already is put aside when `isReplacing`, never removed.
 * @throws RefusedError when the backup is not sound, a database is there and not to be replaced, or somebody has it open
 */
export async function restore(from: string, to: string, isReplacing: boolean): Promise<Restored> {
  refuseUnsound(from, await checkFile(from))
  if (existsSync(to) && !isReplacing) throw new RefusedError(`${to} is there already; say --replace to put it aside`)
  const partial = `${to}.partial`
  mkdirSync(dirname(to), { recursive: true })
  rmSync(partial, { force: true })
  try {
    // Not the bytes of the file: what was written last may lie beside it, in its journal.
    const { client } = connect(`file:${from}`)
    await client.execute({ sql: 'VACUUM INTO ?', args: [partial] }).finally(() => client.close())
    refuseUnsound(from, await checkFile(partial))
    if (existsSync(to)) await closeDown(to)
    const aside = existsSync(to) ? putAside(to) : undefined
    publish(partial, to)
    return { report: await checkFile(to), aside }
  } finally {
    rmSync(partial, { force: true })
  }
}
