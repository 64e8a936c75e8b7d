import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { connect, type Database, openDatabase } from '../../src/store/open.ts'
import { readinessOf } from '../../src/store/readiness.ts'
import { EXPECTED_LEVEL } from '../../src/store/schema-level.ts'
import { databaseOfLevel } from '../support/migrations.ts'
import { ask, bareApp, createNodeApp, type Send } from '../support/service.ts'

const folder = mkdtempSync(join(tmpdir(), 'ready-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const urlOf = (name: string) => `file:${join(folder, `${name}.db`)}`
const sendTo =
  (database: Database): Send =>
  async (path, init) =>
    createNodeApp(database).request(path, init)

test('a database that is up to date and takes writes is ready, and says at which migration it is', async () => {
  const database = await openDatabase(urlOf('fresh'))
  const { status, headers, body } = await ask(sendTo(database), 'GET', '/readyz')
  expect([status, body]).toEqual([
    200,
    { status: 'ok', database: { schema: EXPECTED_LEVEL.at(-1)!.tag, takesWrites: true } },
  ])
  expect(headers.get('Cache-Control')).toBe('no-store')
  database.client.close()
})

test('without a database the service is ready for what needs none', async () => {
  const { body } = await ask(async (path, init) => bareApp().request(path, init), 'GET', '/readyz')
  expect(body).toEqual({ status: 'ok' })
})

test.each([0, 1])('a database with only %i migrations is alive and not ready', async (count) => {
  const url = urlOf(`level-${count}`)
  if (count > 0) await databaseOfLevel(url, join(folder, `m-${count}`), count)
  const database = connect(url)
  const send = sendTo(database)
  expect((await ask(send, 'GET', '/healthz')).status).toBe(200)
  const { status, headers, body } = await ask(send, 'GET', '/readyz')
  expect([status, body.code, headers.get('Retry-After')]).toEqual([503, 'STORE_OUTDATED', '30'])
  expect(body.detail).toContain(`beginning with ${EXPECTED_LEVEL[count]!.tag}`)
  database.client.close()
})

test('tables ahead of the service are let pass, so that a database can be migrated before the service is replaced', async () => {
  const database = await openDatabase(urlOf('ahead'))
  const { when } = EXPECTED_LEVEL.at(-1)!
  await database.client.batch(
    [{ sql: 'insert into __drizzle_migrations (hash, created_at) values (?, ?)', args: ['later', when + 1] }],
    'write',
  )
  expect(await readinessOf(database)()).toBe(EXPECTED_LEVEL.at(-1)!.tag)
  database.client.close()
})

test('a closed database is not ready, and asking again within a second asks nothing of it', async () => {
  const database = await openDatabase(urlOf('closed'))
  const isReady = readinessOf(database)
  await isReady()
  database.client.close()
  await isReady()
  await new Promise((resolve) => setTimeout(resolve, 1050))
  await expect(isReady()).rejects.toThrow()
})
