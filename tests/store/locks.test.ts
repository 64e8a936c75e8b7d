import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Client, createClient, type Transaction } from '@libsql/client'
import fc from 'fast-check'
import { afterAll, expect, test } from 'vitest'
import { write } from '../../src/store/database.ts'
import { embeddedClient } from '../../src/store/embedded-client.ts'
import { openDatabase } from '../../src/store/open.ts'

const folder = mkdtempSync(join(tmpdir(), 'locks-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

let files = 0
async function freshUrl(): Promise<string> {
  const url = `file:${join(folder, `${files++}.db`)}`
  const database = await openDatabase(url)
  database.client.close()
  return url
}
const INSERT = 'insert into shops (id, created_at) values (?, 0)'
const insert = (id: string) => ({ sql: INSERT, args: [id] })
async function idsOf(client: Pick<Client, 'execute'>): Promise<string[]> {
  const { rows } = await client.execute('select id from shops order by id')
  return rows.map(({ id }) => String(id))
}
/** What a connection opened just now finds in the file. */
async function found(url: string): Promise<string[]> {
  const client = createClient({ url })
  return idsOf(client).finally(() => client.close())
}

test("the engine's own client acknowledges a write after a lock that no other connection ever finds", async () => {
  const url = await freshUrl()
  const [holder, bare] = [createClient({ url }), createClient({ url, concurrency: 1 })]
  const lock = await holder.transaction('write')
  await lock.execute(insert('held'))
  await expect(bare.execute(insert('refused'))).rejects.toMatchObject({ code: 'SQLITE_BUSY' })
  await lock.commit()
  expect((await bare.execute(insert('acknowledged'))).rowsAffected).toBe(1)
  expect(await found(url)).toEqual(['held'])
  for (const client of [holder, bare]) client.close()
  expect(await found(url), 'the reason for replacing a connection that met a lock').toEqual(['held'])
})

/** Clients of one file: one that holds the lock now and then, and the one under test. */
class World {
  readonly url: string
  readonly #other: Client
  readonly mine: Client
  #lock: Transaction | undefined
  #lockedId: string | undefined
  readonly committed = new Set<string>()
  #count = 0

  constructor(url: string) {
    this.url = url
    this.#other = createClient({ url })
    this.mine = embeddedClient(url, 10)
  }
  async lock() {
    if (this.#lock) return
    this.#lock = await this.#other.transaction('write')
    this.#lockedId = `other-${this.#count++}`
    await this.#lock.execute(insert(this.#lockedId))
  }
  async release(isCommitted: boolean) {
    if (!this.#lock) return
    await (isCommitted ? this.#lock.commit() : this.#lock.rollback())
    if (isCommitted) this.committed.add(this.#lockedId!)
    this.#lock = undefined
  }
  /** A write of ours; whatever was acknowledged counts as committed. */
  async write(isBatch: boolean) {
    const id = `mine-${this.#count++}`
    const run = isBatch ? this.mine.batch([insert(id)], 'write') : this.mine.execute(insert(id))
    const isAcknowledged = await run.then(
      () => true,
      (error: { code: string }) => {
        expect(error.code).toBe('STORE_BUSY')
        return false
      },
    )
    expect(isAcknowledged).toBe(this.#lock === undefined)
    if (isAcknowledged) this.committed.add(id)
  }
  async close() {
    await this.release(false)
    for (const client of [this.#other, this.mine]) client.close()
  }
}

const step = fc.constantFrom('lock', 'commit', 'roll back', 'write', 'write', 'execute', 'read')

test('whatever locks come and go, each acknowledged write is found by others at once and each read is of now', async () => {
  let writes = 0
  await fc.assert(
    fc.asyncProperty(fc.array(step, { minLength: 4, maxLength: 14 }), async (steps) => {
      const world = new World(await freshUrl())
      for (const name of steps) {
        if (name === 'lock') await world.lock()
        if (name === 'commit' || name === 'roll back') await world.release(name === 'commit')
        if (name === 'write' || name === 'execute') await world.write(name === 'write')
        const now = [...world.committed].sort()
        expect(await idsOf(world.mine)).toEqual(now)
        expect(await found(world.url)).toEqual(now)
      }
      writes += world.committed.size
      await world.close()
    }),
    { numRuns: 60 },
  )
  expect(writes).toBeGreaterThan(60)
})

test('while another holds the lock the process goes on, and all that waited is written when it is released', async () => {
  const url = await freshUrl()
  const other = createClient({ url })
  const mine = embeddedClient(url)
  const database = { client: mine, orm: undefined as never }
  const lock = await other.transaction('write')
  const waiting = Array.from({ length: 40 }, (_, index) => write(database, [insert(`waiting-${index}`)]))
  let ticks = 0
  const timer = setInterval(() => ticks++, 5)
  await new Promise((resolve) => setTimeout(resolve, 500))
  clearInterval(timer)
  expect(await idsOf(mine)).toEqual([])
  await lock.rollback()
  expect(await Promise.all(waiting)).toEqual(waiting.map(() => 1))
  expect(await found(url)).toHaveLength(40)
  expect(ticks, 'of 100 at most; waiting inside the engine allows none').toBeGreaterThan(10)
  for (const client of [other, mine]) client.close()
})

test('a lock that is not released is told when patience ends', async () => {
  const url = await freshUrl()
  const other = createClient({ url })
  const mine = embeddedClient(url, 200)
  const lock = await other.transaction('write')
  const start = performance.now()
  const results = await Promise.allSettled([1, 2, 3].map((id) => mine.batch([insert(`${id}`)], 'write')))
  expect(results.map((result) => result.status === 'rejected' && result.reason.code)).toEqual(
    results.map(() => 'STORE_BUSY'),
  )
  expect(performance.now() - start).toBeLessThan(3000)
  await lock.rollback()
  expect(await found(url)).toEqual([])
  for (const client of [other, mine]) client.close()
})

test('what the engine cannot do safely is refused', async () => {
  const client = embeddedClient(':memory:')
  await expect(client.transaction('write')).rejects.toThrow('interactive transaction')
  await expect(client.batch(['select 1'])).rejects.toThrow('batch in the mode')
  await expect(client.executeMultiple('select 1')).rejects.toThrow('many statements')
  client.close()
})

test('a closed client stays closed', async () => {
  const client = embeddedClient(await freshUrl())
  client.close()
  await expect(client.execute('select 1')).rejects.toMatchObject({ code: 'CLIENT_CLOSED' })
})
