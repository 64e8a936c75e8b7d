import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import Database from 'libsql'

/**
 * A shim that answers libSQL's HTTP pipeline (version 2, JSON) from an embedded engine. It proves the SQL, the driver and
 * the bytes on the wire; it is no real server and shows nothing of a server's time-outs or replication.
 */

type Value =
  | { type: 'null' }
  | { type: 'integer'; value: string }
  | { type: 'float'; value: number }
  | { type: 'text'; value: string }
  | { type: 'blob'; base64: string }
interface Statement {
  sql?: string
  /** A text stored earlier in the same pipeline. */
  sql_id?: number
  args?: Value[]
  named_args?: { name: string; value: Value }[]
}
type Condition =
  | { type: 'ok' | 'error'; step: number }
  | { type: 'not'; cond: Condition }
  | { type: 'and' | 'or'; conds: Condition[] }
  | { type: 'is_autocommit' }
type PipelineRequest =
  | { type: 'execute'; stmt: Statement }
  | { type: 'batch'; batch: { steps: { stmt: Statement; condition?: Condition | null }[] } }
  | { type: 'sequence'; sql: string }
  | { type: 'store_sql'; sql_id: number; sql: string }
  | { type: 'close_sql'; sql_id: number }
  | { type: 'close' | 'get_autocommit' }

function decode(value: Value): unknown {
  if (value.type === 'null') return null
  if (value.type === 'integer') return BigInt(value.value)
  return value.type === 'blob' ? Buffer.from(value.base64, 'base64') : value.value
}

function encode(value: unknown): Value {
  if (value === null || value === undefined) return { type: 'null' }
  if (typeof value === 'bigint') return { type: 'integer', value: String(value) }
  if (typeof value === 'number')
    return Number.isInteger(value) ? { type: 'integer', value: String(value) } : { type: 'float', value }
  if (typeof value === 'string') return { type: 'text', value }
  return { type: 'blob', base64: Buffer.from(value as Uint8Array).toString('base64') }
}

// The embedded engine ships no precise types.
type Engine = any

type Texts = Map<number, string>

function execute(engine: Engine, texts: Texts, { sql, sql_id, args = [], named_args = [] }: Statement) {
  const statement = engine.prepare(sql ?? texts.get(sql_id!))
  const bound =
    named_args.length > 0
      ? Object.fromEntries(named_args.map(({ name, value }) => [name.replace(/^[:@$]/, ''), decode(value)]))
      : args.map(decode)
  if (!statement.reader) {
    const { changes, lastInsertRowid } = statement.run(bound)
    return { cols: [], rows: [], affected_row_count: changes, last_insert_rowid: String(lastInsertRowid) }
  }
  const cols = statement
    .columns()
    .map(({ name, type }: { name: string; type: string | null }) => ({ name, decltype: type }))
  const rows = statement
    .raw(true)
    .all(bound)
    .map((row: unknown[]) => row.map(encode))
  return { cols, rows, affected_row_count: 0, last_insert_rowid: null }
}

const failure = (error: unknown) => ({
  message: (error as Error).message,
  code: (error as { code?: string }).code ?? 'SQLITE_ERROR',
})

function holds(condition: Condition | null | undefined, results: unknown[], errors: unknown[]): boolean {
  if (!condition) return true
  if (condition.type === 'ok') return results[condition.step] !== null
  if (condition.type === 'error') return errors[condition.step] !== null
  if (condition.type === 'not') return !holds(condition.cond, results, errors)
  if (condition.type === 'and') return condition.conds.every((inner) => holds(inner, results, errors))
  return condition.type === 'or' && condition.conds.some((inner) => holds(inner, results, errors))
}

function batch(engine: Engine, texts: Texts, steps: { stmt: Statement; condition?: Condition | null }[]) {
  const step_results: unknown[] = []
  const step_errors: unknown[] = []
  for (const { stmt, condition } of steps) {
    let result: unknown = null
    let error: unknown = null
    if (holds(condition, step_results, step_errors))
      try {
        result = execute(engine, texts, stmt)
      } catch (thrown) {
        error = failure(thrown)
      }
    step_results.push(result)
    step_errors.push(error)
  }
  return { step_results, step_errors }
}

function answer(engine: Engine, texts: Texts, request: PipelineRequest) {
  try {
    if (request.type === 'execute')
      return { type: 'ok', response: { type: 'execute', result: execute(engine, texts, request.stmt) } }
    if (request.type === 'batch')
      return { type: 'ok', response: { type: 'batch', result: batch(engine, texts, request.batch.steps) } }
    if (request.type === 'sequence') engine.exec(request.sql)
    if (request.type === 'store_sql') texts.set(request.sql_id, request.sql)
    return { type: 'ok', response: { type: request.type } }
  } catch (error) {
    return { type: 'error', error: failure(error) }
  }
}

/** What is wrong with the server at the moment; changed by a test while it runs. */
export interface ServerFaults {
  /** Waits before it answers. */
  delayMs?: number
  /** Takes requests and never answers. */
  isDeaf?: boolean
  /** Does what a batch asks and breaks the connection instead of answering. */
  cutsAfterBatch?: boolean
  /** Answers this status without doing anything, as a gateway in front of it would. */
  status?: number
}

export interface RemoteDatabase {
  url: string
  faults: ServerFaults
  /** Nobody listens any more until `comeBack`. */
  goAway: () => Promise<void>
  comeBack: () => Promise<void>
  close: () => void
}

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))
async function bodyOf(request: IncomingMessage): Promise<string> {
  const chunks: Buffer[] = []
  for await (const chunk of request) chunks.push(chunk as Buffer)
  return Buffer.concat(chunks).toString()
}

/** Serves a database file on a free loopback port; only a request with the token is answered. */
export async function serveLibsql(file: string, token: string): Promise<RemoteDatabase> {
  const engine: Engine = new Database(file)
  const faults: ServerFaults = {}
  async function handle(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const body = await bodyOf(request)
    if (faults.isDeaf) return
    if (faults.delayMs !== undefined) await sleep(faults.delayMs)
    if (faults.status !== undefined) return void response.writeHead(faults.status).end('gateway')
    if (request.headers.authorization !== `Bearer ${token}`) return void response.writeHead(401).end()
    if (request.url !== '/v2/pipeline') return void response.writeHead(request.url === '/v2' ? 200 : 404).end()
    const texts: Texts = new Map()
    const { requests } = JSON.parse(body) as { requests: PipelineRequest[] }
    const results = requests.map((item) => answer(engine, texts, item))
    if (faults.cutsAfterBatch && requests.some(({ type }) => type === 'batch')) return void request.socket.destroy()
    response.writeHead(200, { 'Content-Type': 'application/json' })
    response.end(JSON.stringify({ baton: null, base_url: null, results }))
  }
  const server: Server = createServer((request, response) => void handle(request, response))
  const listen = (port: number) => new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve))
  await listen(0)
  const { port } = server.address() as AddressInfo
  return {
    url: `http://127.0.0.1:${port}`,
    faults,
    goAway: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        server.closeAllConnections()
      }),
    comeBack: () => listen(port),
    close: () => {
      server.close()
      server.closeAllConnections()
      engine.close()
    },
  }
}
