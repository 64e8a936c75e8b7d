import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { createKey, verifyKey } from '../../src/services/keys.ts'
import { openDatabase } from '../../src/store/open.ts'
import { serveLibsql } from '../support/libsql-over-http.ts'

const folder = mkdtempSync(join(tmpdir(), 'remote-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('an empty remote database is brought up to date over HTTP and holds what is written', async () => {
  const remote = await serveLibsql(join(folder, 'remote.db'), 'token')
  const database = await openDatabase(remote.url, 'token')
  const key = await createKey(database, 'north', ['catalogue'], 0)
  expect(await verifyKey(database, key, 1)).toEqual({ shop: 'north', scopes: ['catalogue'] })
  database.client.close()
  remote.close()
})

test('a remote database refuses a wrong token', async () => {
  const remote = await serveLibsql(join(folder, 'guarded.db'), 'token')
  await expect(openDatabase(remote.url, 'guess')).rejects.toThrow()
  remote.close()
})
