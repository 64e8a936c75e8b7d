import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { startWorker } from '../support/worker.ts'
import { canMount, type FullReport, fileLimitRun, fullDiskRun } from './full.ts'
import { killRun } from './kill.ts'
import { lockedRun } from './locked.ts'
import { migrationKillRun } from './migration.ts'
import { noiseTold } from './noise.ts'
import { remoteRun, remoteShop, TOKEN } from './remote.ts'
import { ServerProcess } from './server.ts'
import { stopRun } from './stop.ts'
import { writersRun } from './writers.ts'

/** npm run test:faults -- [--kills 60] [--migrations 60] [--seed 1] [--only kill,full]: counts what faults leave behind. */

const { values } = parseArgs({
  options: {
    kills: { type: 'string', default: '60' },
    migrations: { type: 'string', default: '60' },
    seed: { type: 'string', default: '1' },
    only: { type: 'string' },
  },
})
const ms = (value: number | undefined) => `${Math.round(value ?? Number.NaN)} ms`
const median = (list: readonly number[]) => [...list].sort((a, b) => a - b)[list.length >> 1]
const same = (a: readonly string[], b: readonly string[]) => [...a].sort().join() === [...b].sort().join()
const statuses = (answers: readonly ({ status: number } | undefined)[]) =>
  answers.map((answer) => answer?.status).join(' ')

/** Lines that tell what was counted, and whether all is as it must be. */
type Told = { lines: string[]; isRight: boolean }

async function kill(): Promise<Told> {
  const { byWorkload, kills, checks, unsound, startsMs } = await killRun(Number(values.kills), Number(values.seed))
  const tallies = Object.entries(byWorkload)
  const lines = tallies.map(
    ([name, t]) =>
      `${name}: ${t.acknowledged} acknowledged, ${t.unanswered} unanswered (${t.keptUntold} of them kept), ${t.refused} refused; ${t.checked} looked up after restarts: lost ${t.lost}, double ${t.duplicated}, half ${t.half}`,
  )
  const starts = `${startsMs.length} starts, median ${ms(median(startsMs))}, longest ${ms(Math.max(...startsMs))}`
  lines.push(`${kills} kills; ${starts}; file looked through ${checks} times, unsound ${unsound}`)
  const isRight = tallies.every(([, t]) => t.lost + t.duplicated + t.half === 0 && t.acknowledged > 0) && unsound === 0
  return { lines, isRight }
}

async function migrations(folder: string): Promise<Told> {
  const { kills, absent, whole, torn, recovered } = await migrationKillRun(folder, Number(values.migrations))
  const line = `${kills} kills: ${absent} absent, ${whole} whole, ${torn} torn; ${recovered} brought to their end by the next start`
  return { lines: [line], isRight: torn === 0 && recovered === kills }
}

async function locked(folder: string): Promise<Told> {
  const report = await lockedRun(folder, 12)
  const { refused, waited, healthMs, acknowledged, stored, ready, readyAfter } = report
  return {
    lines: [
      `lock held too long: writes ${statuses(refused)}; readiness ${ready?.status}, after it ${readyAfter?.status}`,
      `meanwhile /healthz: median ${ms(median(healthMs))}, longest ${ms(Math.max(...healthMs))}`,
      `lock held 1.5 s: writes ${statuses(waited)}; acknowledged ${acknowledged.length}, stored ${stored.length - 1}`,
    ],
    isRight: refused.every((answer) => answer?.status === 503) && same(stored, [...acknowledged, 'warm']),
  }
}

function toldOfFull(title: string, report: FullReport): Told {
  const { acknowledged, refused, stored, isSound, afterRoom, readyAfter } = report
  const lost = acknowledged.filter((name) => !stored.includes(name)).length
  const after = afterRoom === undefined ? '' : `; with room again ${afterRoom.status}, readiness ${readyAfter?.status}`
  const line = `${title}: ${acknowledged.length} acknowledged, then ${refused?.status} ${refused?.body?.code}; lost ${lost}, half ${stored.length - acknowledged.length + lost}${after}; file ${isSound ? 'sound' : 'UNSOUND'}`
  return { lines: [line], isRight: same(acknowledged, stored) && isSound && (refused?.status ?? 0) >= 500 }
}

async function full(folder: string): Promise<Told> {
  const limit = toldOfFull('limit on the size of files', await fileLimitRun(folder))
  if (!canMount()) return { ...limit, lines: [...limit.lines, 'full disk: not run, nothing can be mounted here'] }
  const disk = toldOfFull('full disk', await fullDiskRun(folder))
  return { lines: [...disk.lines, ...limit.lines], isRight: disk.isRight && limit.isRight }
}

const hosts = {
  'Node over HTTP': async (url: string) => {
    const server = await ServerProcess.start(url, [], TOKEN)
    return { url: server.url, stop: () => server.kill() }
  },
  'the Worker in workerd': (url: string) => startWorker({ DATABASE_URL: url, DATABASE_TOKEN: TOKEN }),
}
async function remote(folder: string): Promise<Told> {
  const told: Told = { lines: ['against a shim of the protocol, not a real server'], isRight: true }
  for (const [name, start] of Object.entries(hosts)) {
    const shop = await remoteShop(mkdtempSync(join(folder, 'remote-')))
    const host = await start(shop.remote.url)
    const report = await remoteRun({ url: host.url, key: shop.key }, shop.remote, shop.path)
    await host.stop()
    shop.remote.close()
    for (const [phase, { write, ready, health }] of Object.entries(report.answers))
      told.lines.push(
        `${name}, ${phase}: write ${write?.status} ${write?.body?.code ?? ''} in ${ms(write?.tookMs)}, readiness ${ready?.status} in ${ms(ready?.tookMs)}, health ${health?.status}`,
      )
    told.isRight &&= same(report.stored, [...report.acknowledged, ...report.unknown])
  }
  return told
}

async function writers(folder: string): Promise<Told> {
  const { sent, failed, stored, p50Ms, p99Ms, worstMs } = await writersRun(folder, 4, 400)
  const line = `4 processes: ${sent} sent, ${failed} failed, ${stored} stored; p50 ${p50Ms.toFixed(2)} ms, p99 ${p99Ms.toFixed(1)} ms, worst ${ms(worstMs)}`
  return { lines: [line], isRight: failed === 0 && stored === sent }
}

async function stop(folder: string): Promise<Told> {
  const { exitCode, inFlight, tookMs, isNewRefused } = await stopRun(folder)
  const line = `exit code ${exitCode} in ${ms(tookMs)}; requests in flight ${inFlight.join(' ')}; new ones ${isNewRefused ? 'refused' : 'TAKEN'}`
  return { lines: [line], isRight: exitCode === 0 && inFlight.every((status) => status === 200) && isNewRefused }
}

const RUNS = { kill, migrations, writers, locked, full, remote, stop }
const wanted = values.only?.split(',') ?? Object.keys(RUNS)
const begin = performance.now()
let wrong = 0
console.log(`machine: ${noiseTold()}`)
for (const name of wanted) {
  const folder = mkdtempSync(join(tmpdir(), 'faults-'))
  const { lines, isRight } = await RUNS[name as keyof typeof RUNS](folder)
  if (!isRight) wrong++
  console.log(`${name}: ${isRight ? 'as it must be' : 'WRONG'}\n${lines.map((line) => `  ${line}`).join('\n')}`)
  rmSync(folder, { recursive: true, force: true })
}
console.log(`machine: ${noiseTold()}\n${((performance.now() - begin) / 1000).toFixed(0)} s`)
process.exit(wrong === 0 ? 0 : 1)
