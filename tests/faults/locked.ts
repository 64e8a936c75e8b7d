import { join } from 'node:path'
import { createClient } from '@libsql/client'
import { type Answer, send } from './api.ts'
import { overlaysIn, shopServer } from './shop-server.ts'

export interface LockedReport {
  /** Writes sent while another process held the lock for longer than patience, and what they were answered. */
  refused: (Answer | undefined)[]
  ready: Answer | undefined
  /** How long the process took over a request that needs no database, meanwhile. */
  healthMs: number[]
  read: Answer | undefined
  /** Writes that waited for a shorter lock. */
  waited: (Answer | undefined)[]
  acknowledged: string[]
  stored: string[]
  readyAfter: Answer | undefined
}

const put = (name: string) => ['PUT', `/v1/overlays/${name}`, { overlay: name, version: '1' }] as const
const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

/** Another process holds the write lock of the file, once for too long and once for a while. */
export async function lockedRun(folder: string, writes: number): Promise<LockedReport> {
  const path = join(folder, 'locked.db')
  const { server, api } = await shopServer(path)
  // It waits for writes of the service that are still under way.
  const other = createClient({ url: `file:${path}`, timeout: 5000 })
  const names = (kind: string) => Array.from({ length: writes }, (_, index) => `${kind}-${index}`)
  try {
    await send(api, ...put('warm'))
    const long = await other.transaction('write')
    const sent = Promise.all(names('long').map((name) => send(api, ...put(name))))
    await sleep(500)
    const healthMs: number[] = []
    for (let ask = 0; ask < 20; ask++) {
      healthMs.push((await send(api, 'GET', '/healthz'))?.tookMs ?? Number.NaN)
      await sleep(20)
    }
    const read = await send(api, 'GET', '/v1/overlays')
    const ready = await send(api, 'GET', '/readyz')
    const refused = await sent
    await long.rollback()
    const short = await other.transaction('write')
    const waiting = Promise.all(names('short').map((name) => send(api, ...put(name))))
    await sleep(1500)
    await short.rollback()
    const waited = await waiting
    const acknowledged = names('short').filter((_, index) => waited[index]?.status === 200)
    await sleep(1100)
    const readyAfter = await send(api, 'GET', '/readyz')
    const stored = await overlaysIn(path)
    return { refused, ready, healthMs, read, waited, acknowledged, stored, readyAfter }
  } finally {
    other.close()
    await server.kill()
  }
}
