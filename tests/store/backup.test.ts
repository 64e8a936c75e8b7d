import { execFile, spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, describe, expect, test } from 'vitest'
import { createKey } from '../../src/services/keys.ts'
import { backUp, checkFile } from '../../src/store/backup.ts'
import { write } from '../../src/store/database.ts'
import { connect, openDatabase } from '../../src/store/open.ts'
import { linesOf } from '../../src/tools/maintain/print.ts'
import { databaseOfLevel } from '../support/migrations.ts'

const folder = mkdtempSync(join(tmpdir(), 'backup-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const at = (name: string) => join(folder, name)

const run = promisify(execFile)
interface Ended {
  code: number
  stdout: string
  stderr: string
}
const tool = (name: string, database: string, ...flags: string[]): Promise<Ended> =>
  run(process.execPath, [`src/tools/${name}.ts`, ...flags], {
    env: { ...process.env, DATABASE_URL: `file:${database}` },
    encoding: 'utf8',
  }).then(
    ({ stdout, stderr }) => ({ code: 0, stdout, stderr }),
    (error: Ended) => error,
  )

/** Makes a key, and the database where there is none, in a process of its own: one that has ended holds no file. */
async function databaseWithKey(path: string): Promise<string> {
  const { stdout } = await tool('create-key', path, '--shop', 'north')
  return /ta_\w+/.exec(stdout)![0]
}
/** The shop of each key, as another process finds it. */
async function holdersIn(path: string, ...keys: string[]): Promise<string[]> {
  const { stdout } = await run(process.execPath, ['tests/support/verify-key.ts', `file:${path}`, ...keys])
  return stdout.replace(/\n$/, '').split('\n')
}
/** What db:check prints, without a process of its own. */
async function checked(path: string) {
  const report = await checkFile(path)
  return { isSound: report.isSound, text: linesOf(report).join('\n') }
}

test('a copy made while another process writes is of one moment: all written before it, and no half of anything', async () => {
  const path = at('busy.db')
  const database = await openDatabase(`file:${path}`)
  const writer = spawn(process.execPath, ['tests/support/write-pairs.ts', `file:${path}`])
  let acknowledged = -1
  writer.stdout.on('data', (chunk: Buffer) => (acknowledged = Number(chunk.toString().trim().split('\n').at(-1))))
  while (acknowledged < 300) await new Promise((resolve) => setTimeout(resolve, 20))
  const sizes: number[] = []
  for (let copy = 0; copy < 5; copy++) {
    const before = acknowledged
    const { rows, isSound } = await backUp(database, at(`copy-${copy}.db`))
    expect(isSound).toBe(true)
    expect(rows.shops).toBe(rows.overlays)
    expect(rows.shops).toBeGreaterThan(before)
    const { client } = connect(`file:${at(`copy-${copy}.db`)}`)
    const last = await client.execute('select max(created_at) as n from shops').finally(() => client.close())
    expect(last.rows[0]!.n, 'no number is left out').toBe(rows.shops! - 1)
    sizes.push(rows.shops!)
    await new Promise((resolve) => setTimeout(resolve, 60))
  }
  writer.kill('SIGKILL')
  database.client.close()
  expect(sizes.at(-1)! - sizes[0]!, 'writing went on').toBeGreaterThan(10)
  console.info(`five copies while writing: ${sizes.join(', ')} pairs, each whole`)
})

describe('npm run backup, restore and db:check', () => {
  const [live, copy] = [at('live.db'), at('safe/copy.db')]
  let first = ''

  test('a backup is made, checked, readable by its owner alone, and never overwritten', async () => {
    first = await databaseWithKey(live)
    const made = await tool('backup', live, '--to', copy)
    expect(made).toMatchObject({
      code: 0,
      stdout: expect.stringMatching(/integrity: ok\nforeign keys: ok\n.*\nrows: .*api_keys 1/),
    })
    expect(statSync(copy).mode & 0o777).toBe(0o600)
    expect(readdirSync(at('safe'))).toEqual(['copy.db'])
    expect(await tool('backup', live, '--to', copy)).toMatchObject({
      code: 1,
      stderr: expect.stringMatching(/never overwritten/),
    })
  })

  test('a restore refuses to replace a database unless asked, and then puts it aside', async () => {
    const second = await databaseWithKey(live)
    const refused = await tool('restore', live, '--from', copy)
    expect(refused).toMatchObject({ code: 1, stderr: expect.stringMatching(/is there already; say --replace/) })
    expect(await holdersIn(live, second)).toEqual(['north'])
    const done = await tool('restore', live, '--from', copy, '--replace')
    expect(done).toMatchObject({
      code: 0,
      stdout: expect.stringMatching(/live\.db\.before-restore-1\n[\s\S]*integrity: ok/),
    })
    expect(await holdersIn(live, first, second)).toEqual(['north', ''])
    const aside = `${live}.before-restore-1`
    expect(await holdersIn(aside, second), 'what was there before is whole').toEqual(['north'])
  })

  test('a restore refuses while a process has the database open', async () => {
    const { client } = await openDatabase(`file:${live}`)
    const refused = await tool('restore', live, '--from', copy, '--replace')
    client.close()
    expect(refused).toMatchObject({ code: 1, stderr: expect.stringMatching(/open in another process/) })
    expect(await holdersIn(live, first)).toEqual(['north'])
    expect(readdirSync(folder).filter((name) => name.endsWith('.partial'))).toEqual([])
  })

  test('a restore takes along what the journal beside its source holds', async () => {
    const [source, target] = [at('with-journal.db'), at('from-journal.db')]
    const { client } = await openDatabase(`file:${source}`)
    await client.batch(["insert into shops (id, created_at) values ('late', 0)"], 'write')
    expect(statSync(`${source}-wal`).size).toBeGreaterThan(0)
    expect(await tool('restore', target, '--from', source)).toMatchObject({ code: 0 })
    client.close()
    expect((await checkFile(target)).rows.shops).toBe(1)
  })

  test('a damaged backup is found and not restored', async () => {
    const bad = at('bad.db')
    const bytes = readFileSync(copy)
    bytes.fill(0x55, 4096 * 2, 4096 * 4)
    writeFileSync(bad, bytes)
    expect(await tool('check-database', live, bad)).toMatchObject({
      code: 1,
      stdout: expect.stringMatching(/NOT sound/),
    })
    const refused = await tool('restore', live, '--from', bad, '--replace')
    expect(refused).toMatchObject({ code: 1, stderr: expect.stringMatching(/is not sound/) })
    writeFileSync(bad, 'no database at all, only words that somebody wrote into a file')
    expect((await checked(bad)).isSound).toBe(false)
    expect(await holdersIn(live, first)).toEqual(['north'])
  })

  test('a damaged database is replaced by its backup and kept aside', async () => {
    const broken = at('broken.db')
    writeFileSync(broken, 'x'.repeat(9000))
    expect(await tool('restore', broken, '--from', copy, '--replace')).toMatchObject({ code: 0 })
    expect(await holdersIn(broken, first)).toEqual(['north'])
    expect(readFileSync(`${broken}.before-restore-1`, 'utf8')).toBe('x'.repeat(9000))
  })

  test('a backup of an older edition is restored and brought up to date at the next start', async () => {
    const [old, target] = [at('old.db'), at('restored-old.db')]
    await databaseOfLevel(`file:${old}`, at('old-migrations'), 1)
    const done = await tool('restore', target, '--from', old)
    expect(done).toMatchObject({ code: 0, stdout: expect.stringMatching(/next start brings its tables up to date/) })
    const { client } = await openDatabase(`file:${target}`)
    client.close()
    expect((await checkFile(target)).level.lacking).toEqual([])
  })

  test('rows that point to nothing are found', async () => {
    const loose = at('loose.db')
    const database = await openDatabase(`file:${loose}`)
    await createKey(database, 'north', ['calls'], 0)
    await database.client.migrate(["delete from shops where id = 'north'"])
    await expect(write(database, ["insert into overlays values ('nobody', 'a', '', '', 0)"])).rejects.toThrow(
      /FOREIGN KEY/,
    )
    database.client.close()
    expect(await checked(loose)).toMatchObject({
      isSound: false,
      text: expect.stringMatching(/api_keys row 1 points to no shops/),
    })
  })

  test('nothing is made where there is no database', async () => {
    expect(await tool('check-database', at('none.db'))).toMatchObject({
      code: 1,
      stderr: expect.stringMatching(/no file/),
    })
    expect(await tool('backup', at('none.db'), '--to', at('x.db'))).toMatchObject({ code: 1 })
    expect(existsSync(at('none.db'))).toBe(false)
  })
})
