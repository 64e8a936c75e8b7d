import { existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startWorker } from '../support/worker.ts'
import { canMount, type FullReport, fileLimitRun, fullDiskRun } from './full.ts'
import { killRun } from './kill.ts'
import { lockedRun } from './locked.ts'
import { type RemoteReport, remoteRun, remoteShop, TOKEN } from './remote.ts'
import { overlaysIn } from './shop-server.ts'
import { stopRun } from './stop.ts'

const folder = mkdtempSync(join(tmpdir(), 'faults-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('the service and a process beside it are killed under load: nothing acknowledged is lost, double or half', async () => {
  const { byWorkload, unsound, checks } = await killRun(2, 20_261_126)
  for (const [name, tally] of Object.entries(byWorkload)) {
    expect(tally, name).toMatchObject({ lost: 0, duplicated: 0, half: 0 })
    expect(tally.acknowledged, name).toBeGreaterThan(0)
    expect(tally.checked, name).toBeGreaterThan(0)
  }
  expect([checks, unsound]).toEqual([1, 0])
}, 300_000)

function expectWhole({ acknowledged, refusals, readStatus, stored, isSound }: FullReport): void {
  expect(acknowledged.length).toBeGreaterThan(2)
  expect(refusals).toBe(3)
  expect(readStatus).toBe(200)
  expect(stored).toEqual([...acknowledged].sort())
  expect(isSound).toBe(true)
}

async function workerRun(): Promise<RemoteReport> {
  const { path, remote, key } = await remoteShop(folder)
  const worker = await startWorker({ DATABASE_URL: remote.url, DATABASE_TOKEN: TOKEN })
  try {
    return await remoteRun({ url: worker.url, key }, remote, path)
  } finally {
    worker.stop()
    remote.close()
  }
}
/** Most of these runs is waiting, so that they go on at once, each over a database of its own. */
const startRuns = () => ({
  locked: lockedRun(folder, 4),
  full: canMount() ? fullDiskRun(folder) : Promise.resolve(undefined),
  limited: fileLimitRun(folder),
  stop: stopRun(folder),
  remote: workerRun(),
})
let runs: ReturnType<typeof startRuns>

describe('faults beside each other', () => {
  beforeAll(() => {
    runs = startRuns()
    // One that fails is told by its own test.
    for (const run of Object.values(runs)) run.catch(() => undefined)
  })

  test('a lock held by another process is a 503 after a while, harms nothing else, and needs no restart', async () => {
    const { refused, ready, healthMs, read, waited, acknowledged, stored, readyAfter } = await runs.locked
    for (const answer of refused)
      expect(answer).toMatchObject({ status: 503, retryAfter: 1, body: { code: 'STORE_BUSY', errors: [] } })
    expect(ready).toMatchObject({ status: 503, body: { code: 'STORE_BUSY' } })
    expect(read?.status).toBe(200)
    expect(read?.tookMs, 'a read does not wait for the lock').toBeLessThan(3000)
    expect([...healthMs].sort((a, b) => a - b)[10], `of ${healthMs}; frozen it would be seconds`).toBeLessThan(1000)
    expect(waited.map((answer) => answer?.status)).toEqual([200, 200, 200, 200])
    expect(stored).toEqual([...acknowledged, 'warm'].sort())
    expect(readyAfter?.status).toBe(200)
  }, 180_000)

  test.skipIf(!canMount())(
    'a full disk is a 507, loses nothing, and is served again once there is room (skipped where nothing can be mounted)',
    async () => {
      const report = (await runs.full)!
      expectWhole(report)
      expect(report.refused).toMatchObject({ status: 507, retryAfter: 60, body: { code: 'STORE_FULL' } })
      expect([report.afterRoom?.status, report.readyAfter?.status]).toEqual([200, 200])
    },
    180_000,
  )

  test('a disk that fails a write is a 503 and loses nothing', async () => {
    const report = await runs.limited
    expectWhole(report)
    expect(report.refused).toMatchObject({ status: 503, retryAfter: 10, body: { code: 'STORE_FAILED' } })
  }, 180_000)

  test('told to stop, the service ends its requests, closes its database and exits with 0', async () => {
    const { exitCode, inFlight, isNewRefused, write, tookMs, output } = await runs.stop
    expect([exitCode, inFlight, isNewRefused, write?.status]).toEqual([0, [200, 200, 200], true, 200])
    expect(output).toContain('has stopped')
    expect(tookMs).toBeLessThan(4500)
    expect(await overlaysIn(join(folder, 'stop.db'))).toEqual(['last', 'warm'])
    expect(existsSync(join(folder, 'stop.db'))).toBe(true)
  }, 180_000)

  describe('the Worker in workerd before a remote database (a shim of its protocol)', () => {
    let report: RemoteReport
    test('a slow, deaf, absent or broken one is told at once or after 5 seconds, and served again without a restart', async () => {
      report = await runs.remote
      const seen = Object.entries(report.answers).map(([phase, { write, ready, health }]) => [
        phase,
        write?.body?.code ?? write?.status,
        ready?.body?.code ?? ready?.status,
        health?.status,
      ])
      expect(seen).toEqual([
        ['well', 200, 200, 200],
        ['absent', 'STORE_UNREACHABLE', 'STORE_UNREACHABLE', 200],
        ['slow', 200, 200, 200],
        ['deaf', 'STORE_UNREACHABLE', 'STORE_UNREACHABLE', 200],
        ['cut after it was done', 'STORE_UNREACHABLE', 'STORE_UNREACHABLE', 200],
        ['gateway 502', 'STORE_UNREACHABLE', 'STORE_UNREACHABLE', 200],
        ['behind', 200, 'STORE_OUTDATED', 200],
        ['well again', 200, 200, 200],
      ])
    }, 300_000)

    test('each refusal says when to try again, and none takes longer than nine seconds', () => {
      for (const { write, ready } of Object.values(report.answers))
        for (const answer of [write, ready]) {
          expect(answer!.tookMs).toBeLessThan(9000)
          if (answer!.status >= 500) expect(answer!.retryAfter).toBeGreaterThan(0)
        }
    })

    test('what was acknowledged is stored; beside it only what was told as unknown', () => {
      const { acknowledged, unknown, stored } = report
      expect(unknown).toEqual(['cut-after-it-was-done'])
      expect(stored).toEqual([...acknowledged, ...unknown].sort())
    })
  })
})
