import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createClient } from '@libsql/client'
import { checkFile } from '../../src/store/backup.ts'
import { drawsFrom } from '../../src/tools/cases/draws.ts'
import type { Api } from './api.ts'
import { Ledger, type Tally } from './ledger.ts'
import { ServerProcess } from './server.ts'
import { ABSENT, type Ways, type Workload } from './workloads/workload.ts'
import { WORKLOADS } from './workloads.ts'
import { WriterProcess } from './writer-process.ts'

export interface KillReport {
  kills: number
  byWorkload: Record<string, Tally>
  /** Times that the file was looked through, and how often it was not sound. */
  checks: number
  unsound: number
  startsMs: number[]
}

const CLIENTS_EACH = 3
const THINGS_EACH = 4
const REMOVES_SHARE = 0.2
const LOOK_THROUGH_EVERY = 10
/** Lives at most so long after each kind of writing has been acknowledged once, on a busy machine late. */
const LIVES_ON_MS = 700
const WARM_WITHIN_MS = 10_000
const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

/** One client: writes one thing after the other until it gets no answer. */
async function loadUntilCut(ways: Ways, name: string, client: number, ledger: Ledger, random: () => number) {
  const workload = WORKLOADS[name] as Workload
  for (;;) {
    const thing = `${name}-${client}-${Math.floor(random() * THINGS_EACH)}`
    const next = ledger.nextVersion(thing)
    const version = workload.canRemove && random() < REMOVES_SHARE ? ABSENT : next
    const outcome = await workload.write(ways, thing, version)
    ledger.note(thing, version, outcome)
    if (outcome === 'unanswered') return
  }
}

/** Shops with the keys that the writing process made for them, each once. */
function shopsOf(url: string, writer: WriterProcess): Ways['shop'] {
  const known = new Map<string, Api>()
  return async (name) => {
    const made = known.has(name) ? undefined : await writer.order({ kind: 'key', shop: name })
    if (made !== undefined) known.set(name, { url, key: made.key })
    return known.get(name)
  }
}

async function untilEachWrote(ledgers: readonly Ledger[]): Promise<void> {
  const before = ledgers.map(({ tally }) => tally.acknowledged)
  const begin = performance.now()
  const hasEach = () => ledgers.every(({ tally }, index) => tally.acknowledged > before[index]!)
  while (!hasEach() && performance.now() - begin < WARM_WITHIN_MS) await sleep(5)
}

/** Kills the service and the process that writes beside it, at random moments under load, and counts what is left. */
export async function killRun(kills: number, seed: number): Promise<KillReport> {
  const folder = mkdtempSync(join(tmpdir(), 'kill-'))
  const path = join(folder, 'shop.db')
  const url = `file:${path}`
  const random = drawsFrom(seed)
  const server = await ServerProcess.start(url)
  const writer = new WriterProcess(url)
  await writer.start()
  const { key } = await writer.order({ kind: 'key', shop: 'north' })
  const ways: Ways = { api: { url: server.url, key }, writer, shop: shopsOf(server.url, writer) }
  const ledgers = Object.fromEntries(Object.entries(WORKLOADS).map(([name, workload]) => [name, new Ledger(workload)]))
  let [checks, unsound] = [0, 0]
  try {
    for (let kill = 1; kill <= kills; kill++) {
      const load = Object.entries(ledgers).flatMap(([name, ledger]) =>
        Array.from({ length: CLIENTS_EACH }, (_, client) => loadUntilCut(ways, name, client, ledger, random)),
      )
      await untilEachWrote(Object.values(ledgers))
      await sleep(random() * LIVES_ON_MS)
      await Promise.all([server.kill(), writer.kill()])
      await Promise.all(load)
      if (kill % LOOK_THROUGH_EVERY === 0 || kill === kills) {
        checks++
        if (!(await checkFile(path)).isSound) unsound++
      }
      await Promise.all([server.start(), writer.start()])
      const file = createClient({ url, timeout: 5000 })
      for (const [name, ledger] of Object.entries(ledgers))
        ledger.check(await WORKLOADS[name]!.found(ways, file, ledger.things))
      file.close()
    }
  } finally {
    await Promise.all([server.kill(), writer.kill()])
    rmSync(folder, { recursive: true, force: true })
  }
  const byWorkload = Object.fromEntries(Object.entries(ledgers).map(([name, { tally }]) => [name, tally]))
  return { kills, byWorkload, checks, unsound, startsMs: server.startsMs }
}
