import { spawnSync } from 'node:child_process'
import { mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { checkFile } from '../../src/store/backup.ts'
import { type Answer, type Api, send } from './api.ts'
import type { ServerProcess } from './server.ts'
import { overlaysIn, shopServer } from './shop-server.ts'

export interface FullReport {
  acknowledged: string[]
  /** First answer that was no success. */
  refused: Answer | undefined
  refusals: number
  ready: Answer | undefined
  readStatus: number | undefined
  /** The same write after there is room again, without a restart; undefined where room cannot be made. */
  afterRoom: Answer | undefined
  readyAfter: Answer | undefined
  stored: string[]
  isSound: boolean
}

/** An overlay of about 40 kB, so that a small disk fills soon. */
const heavy = (name: string, label: number) => ({
  overlay: name,
  version: '1',
  labels: Array.from({ length: 15 }, (_, part) => ({
    id: 'condition/mains-missing',
    altLabels: Array.from({ length: 20 }, (_, index) => `${name} ${label} ${part} ${index} `.padEnd(118, 'x')),
  })),
})
const TRIES_AFTER = 3

async function fill(api: Api, writes: number): Promise<Pick<FullReport, 'acknowledged' | 'refused' | 'refusals'>> {
  const acknowledged: string[] = []
  let refused: Answer | undefined
  let refusals = 0
  for (let index = 0; index < writes && refusals < TRIES_AFTER; index++) {
    const name = `full-${index}`
    const answer = await send(api, 'PUT', `/v1/overlays/${name}`, heavy(name, index))
    if (answer?.status === 200) acknowledged.push(name)
    else {
      refused ??= answer
      refusals++
    }
  }
  return { acknowledged, refused, refusals }
}

/** Fills what the heavy ones left, until not even a page can be written. */
async function fillUp(api: Api, acknowledged: string[]): Promise<void> {
  for (let index = 0; index < 100; index++) {
    const name = `light-${index}`
    const answer = await send(api, 'PUT', `/v1/overlays/${name}`, { overlay: name, version: 'x'.repeat(30) })
    if (answer?.status !== 200) return
    acknowledged.push(name)
  }
}

async function run(server: ServerProcess, api: Api, path: string, makeRoom?: () => void): Promise<FullReport> {
  try {
    const filled = await fill(api, 400)
    await fillUp(api, filled.acknowledged)
    const ready = await send(api, 'GET', '/readyz')
    const readStatus = (await send(api, 'GET', '/v1/overlays'))?.status
    makeRoom?.()
    await new Promise((resolve) => setTimeout(resolve, 1100))
    const afterRoom = makeRoom && (await send(api, 'PUT', '/v1/overlays/after', heavy('after', 0)))
    const readyAfter = await send(api, 'GET', '/readyz')
    if (afterRoom?.status === 200) filled.acknowledged.push('after')
    await server.kill()
    const { isSound } = await checkFile(path)
    return { ...filled, ready, readStatus, afterRoom, readyAfter, stored: await overlaysIn(path), isSound }
  } finally {
    await server.kill()
  }
}

/** Whether a small disk of one's own can be had here: mounting is the right of an administrator. */
export const canMount = () => process.getuid?.() === 0 && spawnSync('unshare', ['-m', 'true']).status === 0

/** A disk of 1.5 MB that fills up, and from which something is removed later. */
export async function fullDiskRun(folder: string): Promise<FullReport> {
  const disk = join(folder, 'disk')
  mkdirSync(disk)
  const mounted = spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=1536k', 'none', disk])
  if (mounted.status !== 0) throw new Error(`no small disk: ${mounted.stderr}`)
  try {
    const ballast = join(disk, 'ballast')
    const { server, api } = await shopServer(join(disk, 'full.db'))
    writeFileSync(ballast, Buffer.alloc(600_000, 1))
    return await run(server, api, join(disk, 'full.db'), () => rmSync(ballast))
  } finally {
    spawnSync('umount', ['-l', disk])
  }
}

/** A limit on the size of files, as a quota would set it: the disk fails a write instead of being full. */
export async function fileLimitRun(folder: string): Promise<FullReport> {
  const path = join(folder, 'limited.db')
  // POSIX counts the limit in blocks of 512 bytes.
  const limited = ['sh', '-c', 'ulimit -f 2400; exec "$0" "$@"']
  const { server, api } = await shopServer(path, limited)
  return run(server, api, path)
}
