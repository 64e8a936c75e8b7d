import { join } from 'node:path'
import { migrate, readMigrations } from '../../src/store/migrate.ts'
import { connect, openDatabase } from '../../src/store/open.ts'
import { EXPECTED_LEVEL } from '../../src/store/schema-level.ts'
import { columnNames, fillTables, migrationsFolder } from '../support/migrations.ts'
import { spawnOwned } from './children.ts'

const SHOPS = 3
const ROWS_A_SHOP = 15_000
const MOVED = 10
/** Kills are spread over as long as an undisturbed migration takes, and a little more. */
const SPREAD = 1.1

/** A migration that takes a while and, halfway, has one table emptied and another half filled. */
const LONG = [
  'CREATE TABLE long_copy (shop_id text NOT NULL, n integer NOT NULL, body text NOT NULL, PRIMARY KEY(shop_id, n));',
  `INSERT INTO long_copy SELECT s.id, g.value, hex(zeroblob(60)) FROM shops s, generate_series(1, ${ROWS_A_SHOP}) g;`,
  'CREATE INDEX long_copy_n ON long_copy (n);',
  'DELETE FROM overlays;',
  'UPDATE long_copy SET body = hex(randomblob(60));',
  `INSERT INTO overlays (shop_id, name, sha256, body, updated_at)
SELECT shop_id, 'n-' || n, 'x', body, n FROM long_copy WHERE n <= ${MOVED};`,
].join('\n--> statement-breakpoint\n')

/** The migrations of the service and the long one behind them. */
export const withLongMigration = (folder: string) =>
  migrationsFolder(join(folder, 'long'), EXPECTED_LEVEL.length, { '9999_long': LONG })

export interface Migrating {
  isDone: boolean
  /** From the beginning of the migration to the end of the process. */
  tookMs: number
}

/** Starts a process that migrates; it is killed after a while unless it is done before. */
export function migrating(url: string, migrations: string, killAfterMs?: number): Promise<Migrating> {
  let begin = performance.now()
  return new Promise((resolve) => {
    const child = spawnOwned(process.execPath, ['tests/support/migrate-child.ts', url, migrations], {})
    child.stdout!.on('data', (chunk: Buffer) => {
      if (!chunk.toString().includes('begins')) return
      begin = performance.now()
      if (killAfterMs !== undefined) setTimeout(() => child.kill('SIGKILL'), killAfterMs)
    })
    child.once('exit', (code) => resolve({ isDone: code === 0, tookMs: performance.now() - begin }))
  })
}

/** A database of this edition with rows in every table. */
export async function filledDatabase(url: string): Promise<void> {
  const { client } = await openDatabase(url)
  await fillTables(client, SHOPS)
  client.close()
}

export async function countRows(url: string, table: string): Promise<number> {
  const { client } = connect(url)
  const { rows } = await client.execute(`select count(*) as n from ${table}`).finally(() => client.close())
  return Number(rows[0]!.n)
}

export interface MigrationKills {
  kills: number
  absent: number
  whole: number
  /** Neither: tables, rows and journal do not belong together. */
  torn: number
  /** Brought to the end by the next start, with every row. */
  recovered: number
}

async function stateOf(url: string): Promise<'absent' | 'whole' | 'torn'> {
  const had = await countRows(url, '__drizzle_migrations')
  const overlays = await countRows(url, 'overlays')
  const { client } = connect(url)
  const hasTable = (await columnNames(client).finally(() => client.close())).long_copy !== undefined
  const beyond = had - EXPECTED_LEVEL.length
  if (!hasTable) return beyond === 0 && overlays === SHOPS ? 'absent' : 'torn'
  return beyond === 1 && overlays === SHOPS * MOVED ? 'whole' : 'torn'
}

async function isRecovered(url: string, migrations: string): Promise<boolean> {
  const { client } = connect(url)
  await migrate(client, readMigrations(migrations))
  const { rows } = await client.execute('PRAGMA integrity_check').finally(() => client.close())
  const counts = [await countRows(url, 'long_copy'), await countRows(url, 'overlays')]
  return rows[0]!.integrity_check === 'ok' && counts[0] === SHOPS * ROWS_A_SHOP && counts[1] === SHOPS * MOVED
}

/** Kills processes in the middle of a migration, at moments spread over it, and starts again. */
export async function migrationKillRun(folder: string, kills: number): Promise<MigrationKills> {
  const long = withLongMigration(folder)
  const report: MigrationKills = { kills, absent: 0, whole: 0, torn: 0, recovered: 0 }
  const undisturbed = `file:${join(folder, 'undisturbed.db')}`
  await filledDatabase(undisturbed)
  const { tookMs } = await migrating(undisturbed, long)
  for (let kill = 0; kill < kills; kill++) {
    const url = `file:${join(folder, `killed-${kill}.db`)}`
    await filledDatabase(url)
    await migrating(url, long, (kill / kills) * SPREAD * tookMs)
    report[await stateOf(url)]++
    if (await isRecovered(url, long)) report.recovered++
  }
  return report
}
