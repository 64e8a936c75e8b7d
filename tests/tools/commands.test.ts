import { execFile } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, expect, test } from 'vitest'

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

test('a shop name that could be anything else is refused', async () => {
  await expect(tool('create-key', '--shop', '../north')).rejects.toMatchObject({ code: 1 })
})
