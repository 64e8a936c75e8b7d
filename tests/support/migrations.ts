import { cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { type Client, createClient, type InStatement } from '@libsql/client'
import { drizzle } from 'drizzle-orm/libsql'
import { migrate as migrateByDrizzle } from 'drizzle-orm/libsql/migrator'
import { MIGRATIONS_FOLDER } from '../../src/store/migrate.ts'

const JOURNAL = 'meta/_journal.json'

/** A copy of the migrations up to and with the `count`th, and others added behind them. */
export function migrationsFolder(folder: string, count: number, added: Record<string, string> = {}): string {
  mkdirSync(join(folder, 'meta'), { recursive: true })
  const journal = JSON.parse(readFileSync(join(MIGRATIONS_FOLDER, JOURNAL), 'utf8'))
  journal.entries = journal.entries.slice(0, count)
  for (const { tag } of journal.entries) cpSync(join(MIGRATIONS_FOLDER, `${tag}.sql`), join(folder, `${tag}.sql`))
  let { when } = journal.entries.at(-1)
  for (const [tag, text] of Object.entries(added)) {
    journal.entries.push({ idx: journal.entries.length, version: '6', when: ++when, tag, breakpoints: true })
    writeFileSync(join(folder, `${tag}.sql`), text)
  }
  writeFileSync(join(folder, JOURNAL), JSON.stringify(journal))
  return folder
}

/** Makes a database as an edition with the first `count` migrations made it: by the query builder's own migrator. */
export async function databaseOfLevel(url: string, folder: string, count: number): Promise<void> {
  const client = createClient({ url })
  await client.execute('PRAGMA journal_mode = WAL')
  await migrateByDrizzle(drizzle(client), { migrationsFolder: migrationsFolder(folder, count) })
  client.close()
}

const TABLES = `select name from pragma_table_list where type = 'table' and schema = 'main' and name not like 'sqlite_%'
and name not like '\\_\\_drizzle%' escape '\\' and name not like 'libsql_%' order by name <> 'shops', name`

/** Tables of a database without those of the engine; shops first, since others point to them. */
export async function tablesOf(client: Client): Promise<string[]> {
  const { rows } = await client.execute(TABLES)
  return rows.map(({ name }) => String(name))
}

interface Column {
  name: string
  type: string
  pk: number
  notnull: number
}
async function columnsOf(client: Client, table: string): Promise<Column[]> {
  const { rows } = await client.execute({
    sql: 'select name, type, pk, "notnull" from pragma_table_info(?)',
    args: [table],
  })
  return rows as unknown as Column[]
}

/** Which column of which table each column of a table points to. */
async function targetsOf(client: Client, table: string): Promise<Map<string, Column>> {
  const sql = 'select "from", "table", "to" from pragma_foreign_key_list(?)'
  const { rows } = await client.execute({ sql, args: [table] })
  const targets = new Map<string, Column>()
  for (const row of rows) {
    const target = (await columnsOf(client, String(row.table))).find(({ name }) => name === row.to)
    if (target) targets.set(String(row.from), target)
  }
  return targets
}

/** A value for a row: the same for a column and for what points to it, a word of JSON, null where it may be in the first. */
function valueFor(
  { name, type, pk, notnull }: Column,
  target: Column | undefined,
  row: number,
): string | number | null {
  if (!pk && !notnull && row === 0) return null
  const { name: root, type: kind } = target ?? { name, type }
  if (/int|real|num/i.test(kind)) return row + 1
  return JSON.stringify(`${root === 'shop_id' ? 'id' : root} ${row}`)
}

/** Puts rows into every table, whatever its columns, each pointing to rows that are there. Returns how many. */
export async function fillTables(client: Client, rowsEach: number): Promise<number> {
  const statements: InStatement[] = []
  for (const table of await tablesOf(client)) {
    const columns = await columnsOf(client, table)
    const targets = await targetsOf(client, table)
    const names = columns.map(({ name }) => `"${name}"`).join(', ')
    const sql = `insert into "${table}" (${names}) values (${columns.map(() => '?').join(', ')})`
    for (let row = 0; row < rowsEach; row++)
      statements.push({ sql, args: columns.map((column) => valueFor(column, targets.get(column.name), row)) })
  }
  // Foreign keys are off meanwhile, so that tables may point to each other in any order; they are checked afterwards.
  await client.migrate(statements)
  const { rows: loose } = await client.execute('PRAGMA foreign_key_check')
  if (loose.length > 0) throw new Error(`rows point to nothing: ${JSON.stringify(loose[0])}`)
  return statements.length
}

/** All rows by table; of each only the columns named, or all. */
export async function rowsOf(client: Client, columns?: Record<string, string[]>): Promise<Record<string, unknown[]>> {
  const all: Record<string, unknown[]> = {}
  for (const table of columns ? Object.keys(columns) : await tablesOf(client)) {
    const names = columns?.[table]?.map((name) => `"${name}"`).join(', ') ?? '*'
    const { rows } = await client.execute(`select ${names} from "${table}" order by rowid`)
    all[table] = rows.map((row) => ({ ...row }))
  }
  return all
}

/** Names of the columns of every table. */
export async function columnNames(client: Client): Promise<Record<string, string[]>> {
  const tables = await tablesOf(client)
  const entries = tables.map(
    async (table) => [table, (await columnsOf(client, table)).map(({ name }) => name)] as const,
  )
  return Object.fromEntries(await Promise.all(entries))
}

/** The text of every table, index, view and trigger. */
export async function schemaOf(client: Client): Promise<string[]> {
  const { rows } = await client.execute(
    'select type, name, sql from sqlite_master where sql is not null order by type, name',
  )
  return rows.map(({ type, name, sql }) => `${type} ${name}: ${String(sql).replace(/\s+/g, ' ')}`)
}
