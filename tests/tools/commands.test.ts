import { execFile } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, expect, test } from 'vitest'
import { openDatabase } from '../../src/store/open.ts'

const folder = mkdtempSync(join(tmpdir(), 'commands-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const run = promisify(execFile)
const env = { ...process.env, DATABASE_URL: `file:${join(folder, 'atlas.db')}` }
const tool = (name: string, ...flags: string[]) =>
  run(process.execPath, [`src/tools/${name}.ts`, ...flags], { env, encoding: 'utf8' })

test('a shop gets its key and imports its catalogue, twice without change', async () => {
  const { stdout } = await tool('create-key', '--shop', 'lantern')
  expect(stdout).toMatch(/ta_[0-9A-Za-z]{40}_[0-9A-Za-z]{6}/)
  const file = 'src/tools/demo/catalogue.csv'
  expect((await tool('import-catalogue', '--shop', 'lantern', '--file', file)).stdout).toContain(
    '7 rows read, 7 inserted or changed, 0 left out',
  )
  expect((await tool('import-catalogue', '--shop', 'lantern', '--file', file)).stdout).toContain(
    '7 rows read, 0 inserted or changed, 0 left out',
  )
})

test('a key is revoked by how it begins', async () => {
  const { stdout } = await tool('create-key', '--shop', 'lantern-two')
  const begin = /ta_[0-9A-Za-z]{5}/.exec(stdout)![0]
  expect((await tool('create-key', '--shop', 'lantern-two', '--revoke', begin)).stdout).toContain(
    '1 keys of lantern-two',
  )
  expect((await tool('create-key', '--shop', 'lantern-two', '--revoke', begin)).stdout).toContain(
    '0 keys of lantern-two',
  )
})

test('a faulty row is named and nothing is written, unless what is good is asked for', async () => {
  const file = join(folder, 'bad.csv')
  writeFileSync(
    file,
    'sku,title,part_class,capacityAh\nA-1,Battery,part-class/vrla-battery-12v,7\nA-2,Battery,part-class/vrla-battery-12v,seven\nA-3,,part-class/vrla-battery-12v,7\n',
  )
  const refused = await tool('import-catalogue', '--shop', 'lantern', '--file', file).catch(
    (error: { code: number; stderr: string }) => error,
  )
  expect(refused).toMatchObject({ code: 1 })
  expect((refused as { stderr: string }).stderr).toMatch(/row 2 \(line 3\), capacityAh: NUMBER_INVALID/)
  expect((await tool('import-catalogue', '--shop', 'lantern', '--file', file, '--partial')).stdout).toContain(
    '2 inserted or changed, 1 left out, 1 single values left out',
  )
})

test('calls past their time are erased in every shop, the others kept', async () => {
  await tool('create-key', '--shop', 'lantern-three', '--scopes', 'calls')
  const { client } = await openDatabase(env.DATABASE_URL)
  const put = (shop: string, call: string, changed: number) =>
    client.execute({
      sql: "insert into calls (shop_id, call_id, seq, status, release, opened_at, changed_at) values (?, ?, 1, 'open', '0.3.0', 0, ?)",
      args: [shop, call, changed],
    })
  await put('lantern', 'old', 1)
  await put('lantern-three', 'old', 1)
  await put('lantern-three', 'new', Date.now())
  expect((await tool('purge-calls')).stdout).toMatch(/^2 calls of \d+ shops/)
  const { rows } = await client.execute('select call_id from calls')
  expect(rows.map(({ call_id }) => call_id)).toEqual(['new'])
  client.close()
})

test('what was erased is in no byte of the file after a scrub', async () => {
  const { client } = await openDatabase(env.DATABASE_URL)
  const mark = 'erased-site-mark'
  const sql =
    "insert into calls (shop_id, call_id, seq, status, release, opened_at, changed_at, site_ref) values ('lantern', ?, 1, 'open', '0.3.0', 0, 1, ?)"
  for (let index = 0; index < 50; index++) await client.execute({ sql, args: [`scrub-${index}`, mark] })
  client.close()
  const holds = () => readdirSync(folder).some((name) => readFileSync(join(folder, name)).includes(mark))
  expect(holds()).toBe(true)
  await tool('purge-calls', '--scrub')
  expect(holds()).toBe(false)
})

test('a shop name that could be anything else is refused', async () => {
  await expect(tool('create-key', '--shop', '../north')).rejects.toMatchObject({ code: 1 })
})
