import { mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, parse } from 'node:path'
import { createClient } from '@libsql/client'
import { getTableConfig, SQLiteTable } from 'drizzle-orm/sqlite-core'
import { afterAll, describe, expect, test } from 'vitest'
import { MIGRATIONS_FOLDER, readMigrations } from '../../src/store/migrate.ts'
import { connect, openDatabase } from '../../src/store/open.ts'
import { EXPECTED_LEVEL, schemaLevel } from '../../src/store/schema-level.ts'
import { countRows, filledDatabase, migrating, migrationKillRun, withLongMigration } from '../faults/migration.ts'
import { columnNames, databaseOfLevel, fillTables, migrationsFolder, rowsOf, schemaOf } from '../support/migrations.ts'

const folder = mkdtempSync(join(tmpdir(), 'migrate-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const urlOf = (name: string) => `file:${join(folder, `${name}.db`)}`

type Rows = Record<string, unknown[]>

async function freshSchema(): Promise<string[]> {
  const { client } = await openDatabase(':memory:')
  return schemaOf(client).finally(() => client.close())
}

const FILLING = EXPECTED_LEVEL.findIndex(({ tag }) => tag.endsWith('_keys-by-hand'))

/** Rows of a level with the ids that keys of before get on the way; no other value changes. */
function withIds(before: Rows, after: Rows, level: number): Rows {
  if (level > FILLING) return before
  const keys = before.api_keys!.map((key, at) => {
    if ((key as { id?: unknown }).id !== null) return key
    const { id } = after.api_keys![at] as { id: unknown }
    expect(id).toMatch(/^key-[0-9a-f]{16}$/)
    return { ...(key as object), id }
  })
  return { ...before, api_keys: keys }
}

describe.each(EXPECTED_LEVEL.map(({ tag }, index) => [tag, index + 1] as const))('a database of %s', (tag, count) => {
  const url = urlOf(tag)

  test('is brought up to date with every row, and its schema is that of a fresh one', async () => {
    await databaseOfLevel(url, join(folder, `until-${tag}`), count)
    const old = createClient({ url })
    const filled = await fillTables(old, 3)
    const columns = await columnNames(old)
    const before = await rowsOf(old, columns)
    old.close()
    const { client } = await openDatabase(url)
    expect(filled).toBeGreaterThanOrEqual(9)
    const after = await rowsOf(client, columns)
    expect(after).toEqual(withIds(before, after, count))
    expect(await schemaOf(client)).toEqual(await freshSchema())
    expect(await schemaLevel(client)).toEqual({ at: EXPECTED_LEVEL.at(-1)!.tag, lacking: [], unknown: 0 })
    expect((await client.execute('PRAGMA foreign_key_check')).rows).toEqual([])
    client.close()
  })
})

test('the migrations make the tables and columns that the queries are written for', async () => {
  const { client } = await openDatabase(':memory:')
  const made = await columnNames(client)
  const files = readdirSync('src/store/schema').map((file) => import(`../../src/store/schema/${parse(file).name}.ts`))
  const modules: object[] = await Promise.all(files)
  const tables = modules.flatMap((module) => Object.values(module)).filter((value) => value instanceof SQLiteTable)
  const meant = tables.map((table) => {
    const { name, columns } = getTableConfig(table)
    return [name, columns.map((column) => column.name).sort()]
  })
  expect(meant.length).toBeGreaterThanOrEqual(5)
  for (const [name, columns] of meant) expect([name, made[name as string]?.sort()]).toEqual([name, columns])
  client.close()
})

const long = withLongMigration(folder)

test('a migration killed in the middle is whole or absent, and the next start brings it to its end', async () => {
  const KILLS = 5
  const report = await migrationKillRun(folder, KILLS)
  console.info(
    `migration killed ${KILLS} times: ${report.absent} absent, ${report.whole} whole, all brought to their end`,
  )
  expect(report).toMatchObject({ torn: 0, recovered: KILLS })
  expect(report.absent).toBeGreaterThan(0)
}, 240_000)

test('of processes that start at once one migrates, and all go on', async () => {
  const url = urlOf('at-once')
  const all = await Promise.all([1, 2, 3].map(() => migrating(url, MIGRATIONS_FOLDER)))
  expect(all.map(({ isDone }) => isDone)).toEqual([true, true, true])
  const { client } = connect(url)
  const { rows } = await client.execute('select count(*) as n from __drizzle_migrations')
  expect(rows[0]!.n).toBe(EXPECTED_LEVEL.length)
  expect(await schemaOf(client)).toEqual(await freshSchema())
  client.close()
})

test('several migrators within one process do each migration once', async () => {
  const url = urlOf('together')
  const opened = await Promise.all([1, 2, 3, 4].map(() => openDatabase(url)))
  const { rows } = await opened[0]!.client.execute('select count(*) as n from __drizzle_migrations')
  expect(rows[0]!.n).toBe(EXPECTED_LEVEL.length)
  for (const { client } of opened) client.close()
})

test('a migration that fails changes nothing and names itself', async () => {
  const url = urlOf('failing')
  await filledDatabase(url)
  const text = 'CREATE TABLE half (n integer);--> statement-breakpoint\nINSERT INTO nowhere VALUES (1);'
  const bad = migrationsFolder(join(folder, 'bad'), EXPECTED_LEVEL.length, { '9999_bad': text })
  await expect(openDatabase(url, undefined, readMigrations(bad))).rejects.toThrow('migration 9999_bad failed')
  const { client } = await openDatabase(url)
  expect(await schemaOf(client)).toEqual(await freshSchema())
  client.close()
})

test('a migration that rebuilds a table others point to keeps their rows; one that leaves loose ends is undone', async () => {
  const rebuild = `CREATE TABLE __new_shops (id text PRIMARY KEY NOT NULL, created_at integer NOT NULL, note text);--> statement-breakpoint
INSERT INTO __new_shops SELECT id, created_at, 'kept' FROM shops;--> statement-breakpoint
DROP TABLE shops;--> statement-breakpoint
ALTER TABLE __new_shops RENAME TO shops;`
  const url = urlOf('rebuilt')
  await filledDatabase(url)
  const kept = migrationsFolder(join(folder, 'kept'), EXPECTED_LEVEL.length, { '9999_rebuild': rebuild })
  const { client } = await openDatabase(url, undefined, readMigrations(kept))
  expect((await rowsOf(client)).api_keys).toHaveLength(3)
  expect((await client.execute('PRAGMA foreign_keys')).rows[0]!.foreign_keys).toBe(1)
  client.close()
  const other = urlOf('loose')
  await filledDatabase(other)
  const lossy = rebuild.replace('FROM shops;', "FROM shops WHERE id not like '%1%';")
  const loose = migrationsFolder(join(folder, 'loose'), EXPECTED_LEVEL.length, { '9999_loose': lossy })
  await expect(openDatabase(other, undefined, readMigrations(loose))).rejects.toThrow('9999_loose failed')
  expect(await countRows(other, 'shops')).toBe(3)
})

test('an older edition refuses the database of a newer one, and says so', async () => {
  const url = urlOf('newer')
  await filledDatabase(url)
  expect((await migrating(url, long)).isDone).toBe(true)
  await expect(openDatabase(url)).rejects.toMatchObject({
    code: 'STORE_OUTDATED',
    message: expect.stringMatching(/newer/),
  })
})
