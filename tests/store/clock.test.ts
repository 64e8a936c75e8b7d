import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createClient } from '@libsql/client'
import { afterAll, afterEach, beforeAll, expect, test, vi } from 'vitest'
import { OverlaySchema } from '../../src/ontology/overlay.ts'
import { createKey } from '../../src/services/keys.ts'
import { shopPort } from '../../src/services/shop-port.ts'
import { write } from '../../src/store/database.ts'
import { revokeKeys } from '../../src/store/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'

/** The clock of the machine is wrong for a while: set back, set ahead, or corrected in the middle of something. */

const NOON = Date.parse('2026-11-26T12:00:00Z')
const HOUR = 3_600_000
const folder = mkdtempSync(join(tmpdir(), 'clock-'))
const url = `file:${join(folder, 'clock.db')}`
let database: Database
let port: ReturnType<typeof shopPort>

beforeAll(async () => {
  database = await openDatabase(url)
  port = shopPort(database)
})
afterAll(() => {
  database.client.close()
  rmSync(folder, { recursive: true, force: true })
})
afterEach(() => vi.useRealTimers())
function clockAt(time: number): void {
  vi.useFakeTimers({ toFake: ['Date'] })
  vi.setSystemTime(time)
}
async function keyUntil(shop: string, expiresAt: number | null): Promise<string> {
  const key = await createKey(database, shop, ['overlays'], Date.now())
  await write(database, [{ sql: 'update api_keys set expires_at = ? where shop_id = ?', args: [expiresAt, shop] }])
  return key
}

test('a key ends at its moment and not before, and a clock set back opens no revoked one', async () => {
  clockAt(NOON)
  const key = await keyUntil('ending', NOON + HOUR)
  const isOpenAt = async (time: number) => {
    vi.setSystemTime(time)
    return (await port.holderOf(key)) !== undefined
  }
  expect([await isOpenAt(NOON + HOUR - 1), await isOpenAt(NOON + HOUR)]).toEqual([true, false])
  vi.setSystemTime(NOON + 2)
  expect(await revokeKeys(database, 'ending', key.slice(0, 8), Date.now())).toBe(1)
  expect(await isOpenAt(NOON - 1000 * HOUR)).toBe(false)
})

test('a key made while the clock was ahead opens after the clock is corrected', async () => {
  clockAt(NOON + 1000 * HOUR)
  const key = await keyUntil('ahead', null)
  vi.setSystemTime(NOON)
  expect(await port.holderOf(key)).toMatchObject({ shop: 'ahead' })
})

test('an overlay kept while the clock is back replaces the one kept before', async () => {
  clockAt(NOON)
  await keyUntil('back', null)
  const overlay = (version: string) => OverlaySchema.parse({ overlay: 'a', version })
  await port.overlays.put('back', 'a', overlay('1'))
  vi.setSystemTime(NOON - 1000 * HOUR)
  await port.overlays.put('back', 'a', overlay('2'))
  expect(await port.overlays.read('back', 'a')).toMatchObject({ version: '2' })
  expect(await port.overlays.list('back')).toHaveLength(1)
})

test('a clock that jumps a day ahead shortens no wait for a lock, and one that jumps back lengthens none', async () => {
  for (const jump of [24 * HOUR, -24 * HOUR]) {
    clockAt(NOON)
    const other = createClient({ url })
    const lock = await other.transaction('write')
    const id = `jump-${jump}`
    const waiting = write(database, [{ sql: 'insert into shops (id, created_at) values (?, 0)', args: [id] }])
    vi.setSystemTime(NOON + jump)
    await new Promise((resolve) => setTimeout(resolve, 200))
    await lock.rollback()
    const begin = performance.now()
    expect(await waiting).toBe(1)
    expect(performance.now() - begin).toBeLessThan(2000)
    other.close()
  }
})
