import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { importCatalogue } from '../../src/services/import-catalogue.ts'
import { createKey } from '../../src/services/keys.ts'
import { sweepImports } from '../../src/store/catalogue/imports.ts'
import { openDatabase } from '../../src/store/open.ts'

const ROWS = 2500
const folder = mkdtempSync(join(tmpdir(), 'interrupted-'))
const url = `file:${join(folder, 'shop.db')}`
const csv = (title: string) =>
  [
    'sku,title,part_class',
    ...Array.from({ length: ROWS }, (_, row) => `S-${row},${title} ${row},part-class/vrla-battery-12v`),
  ].join('\n')

beforeAll(async () => {
  const database = await openDatabase(url)
  await createKey(database, 'corner', ['catalogue'], 0)
  await importCatalogue(database, currentRelease(), 'corner', csv('old'), false)
  database.client.close()
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

type Stage = 'reading' | 'committing'

/** Runs an import in a process of its own and kills it so many milliseconds after it has come so far. */
function importAndKill(stage: Stage, afterMs: number): Promise<boolean> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, ['tests/support/import-child.ts', url, 'new', String(ROWS)])
    let output = ''
    let timer: NodeJS.Timeout | undefined
    child.stdout.on('data', (chunk: Buffer) => {
      const isReached = !output.includes(stage) && String(output + chunk).includes(stage)
      output += chunk
      if (isReached) timer = setTimeout(() => child.kill('SIGKILL'), afterMs)
    })
    child.on('exit', () => {
      clearTimeout(timer)
      resolve(output.includes('ended'))
    })
  })
}

test('an import whose process is killed leaves the old catalogue or the new one, never a mix, and its search agrees', async () => {
  const outcomes: string[] = []
  const moments: [Stage, number][] = [
    ['reading', 30],
    ['committing', 0],
    ['committing', 30],
    ['committing', 60_000],
  ]
  for (const [stage, afterMs] of moments) {
    const hasEnded = await importAndKill(stage, afterMs)
    const database = await openDatabase(url)
    const { rows } = await database.client.execute(
      "select substr(title, 1, 3) as edition, count(*) as count from catalogue_items where shop_id = 'corner' group by 1",
    )
    expect(rows).toHaveLength(1)
    expect(Number(rows[0]!.count)).toBe(ROWS)
    const found = await database.client.execute({
      sql: 'select count(*) as count from catalogue_words where catalogue_words match ?',
      args: [`"corner.${rows[0]!.edition}"`],
    })
    expect(Number(found.rows[0]!.count)).toBe(ROWS)
    if (hasEnded) expect(rows[0]!.edition).toBe('new')
    outcomes.push(String(rows[0]!.edition))
    await sweepImports(database, 'corner', Number.MAX_SAFE_INTEGER, 0)
    const left = await database.client.execute('select count(*) as count from catalogue_staged')
    expect(Number(left.rows[0]!.count)).toBe(0)
    if (rows[0]!.edition === 'new') await importCatalogue(database, currentRelease(), 'corner', csv('old'), false)
    database.client.close()
  }
  console.info(`killed imports left: ${outcomes.join(', ')}`)
  expect([outcomes[0], outcomes.at(-1)]).toEqual(['old', 'new'])
})
