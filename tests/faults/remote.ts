import { join } from 'node:path'
import { createKey } from '../../src/services/keys.ts'
import { connect, openDatabase } from '../../src/store/open.ts'
import { EXPECTED_LEVEL } from '../../src/store/schema-level.ts'
import { type RemoteDatabase, serveLibsql } from '../support/libsql-over-http.ts'
import { type Answer, type Api, send } from './api.ts'
import { overlaysIn } from './shop-server.ts'

export const TOKEN = 'token-of-this-run'

export interface RemoteReport {
  /** What each write and each question was answered, by what was wrong at the time. */
  answers: Record<string, { write: Answer | undefined; ready: Answer | undefined; health: Answer | undefined }>
  acknowledged: string[]
  /** Writes of which nobody can know whether they were kept. */
  unknown: string[]
  stored: string[]
}

/** A file with one shop, behind the shim of a remote database. */
export async function remoteShop(folder: string): Promise<{ path: string; remote: RemoteDatabase; key: string }> {
  const path = join(folder, 'remote.db')
  const database = await openDatabase(`file:${path}`)
  const key = await createKey(database, 'north', ['overlays', 'catalogue'], Date.now())
  database.client.close()
  return { path, key, remote: await serveLibsql(path, TOKEN) }
}

/** Hides the newest migration in the journal, as if the database were behind; answers how to show it again. */
async function fallBehind(path: string): Promise<() => Promise<void>> {
  const { when } = EXPECTED_LEVEL.at(-1)!
  const journal = async (from: number, to: number) => {
    const { client } = connect(`file:${path}`)
    const sql = 'update __drizzle_migrations set created_at = ?2 where created_at = ?1'
    await client.batch([{ sql, args: [from, to] }], 'write').finally(() => client.close())
  }
  await journal(when, when + 1)
  return () => journal(when + 1, when)
}

/** A phase: makes something wrong, and says how to make it right again. */
type Phase = [name: string, begin: (remote: RemoteDatabase, path: string) => Promise<() => unknown>]

const withFault = (name: string, faults: RemoteDatabase['faults']): Phase => [
  name,
  async (remote) => {
    Object.assign(remote.faults, faults)
    return () => {
      for (const fault of Object.keys(faults)) delete remote.faults[fault as keyof typeof faults]
    }
  },
]
const PHASES: Phase[] = [
  ['well', async () => () => undefined],
  [
    'absent',
    async (remote) => {
      await remote.goAway()
      return remote.comeBack
    },
  ],
  withFault('slow', { delayMs: 800 }),
  withFault('deaf', { isDeaf: true }),
  withFault('cut after it was done', { cutsAfterBatch: true }),
  withFault('gateway 502', { status: 502 }),
  ['behind', async (_, path) => fallBehind(path)],
  ['well again', async () => () => undefined],
]

/** A remote database that is slow, deaf, absent or cut off, in front of a service that goes on. */
export async function remoteRun(api: Api, remote: RemoteDatabase, path: string): Promise<RemoteReport> {
  const report: RemoteReport = { answers: {}, acknowledged: [], unknown: [], stored: [] }
  for (const [phase, begin] of PHASES) {
    const end = await begin(remote, path)
    const name = phase.replaceAll(' ', '-')
    const [write, health] = await Promise.all([
      send(api, 'PUT', `/v1/overlays/${name}`, { overlay: name, version: '1' }),
      send(api, 'GET', '/healthz'),
    ])
    const ready = await send(api, 'GET', '/readyz')
    report.answers[phase] = { write, ready, health }
    if (write?.status === 200) report.acknowledged.push(name)
    if (write?.body?.detail?.includes('not known')) report.unknown.push(name)
    await end()
    // What readiness found holds for a second.
    await new Promise((resolve) => setTimeout(resolve, 1100))
  }
  report.stored = await overlaysIn(path)
  return report
}
