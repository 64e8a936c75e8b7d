import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { createApp } from '../app.ts'
import { advise } from '../domain/advice/advise.ts'
import type { Finding } from '../domain/findings/finding.ts'
import { applyCommon } from '../http/middleware/common.ts'
import { validationHook } from '../http/middleware/validation-hook.ts'
import { DiagnoseRequestSchema } from '../http/v1/diagnose/schema.ts'
import { currentRelease } from '../ontology/release.ts'
import { diagnose } from '../services/diagnose.ts'
import { Wording } from '../services/texts.ts'
import { benchCases } from './bench-cases.ts'
import { benchCore } from './bench-core.ts'
import { benchColdStart, benchDevices } from './bench-devices.ts'

/** Figures of the cores and of the route. Nothing here is asserted: times depend on the machine. */

const FINDINGS: Finding[] = [
  { kind: 'condition', condition: 'condition/mains-missing', state: 'present' },
  { kind: 'condition', condition: 'condition/battery-low', state: 'present' },
  { kind: 'condition', condition: 'condition/clock-not-set', state: 'present' },
  { kind: 'screen', complete: true },
]
const LIMITS = { who: 'handy', tools: ['multimeter', 'tape'] } as const
const BODY = JSON.stringify({ findings: FINDINGS, limits: LIMITS })
const ROUNDS = 7
const CALLS = 150

function echoApp() {
  const app = new OpenAPIHono({ defaultHook: validationHook as never })
  applyCommon(app as never, {} as never)
  const route = createRoute({
    method: 'post',
    path: '/echo',
    request: { body: { required: true, content: { 'application/json': { schema: DiagnoseRequestSchema } } } },
    responses: { 200: { description: 'the body', content: { 'application/json': { schema: DiagnoseRequestSchema } } } },
  })
  app.openapi(route, (c) => c.json(c.req.valid('json'), 200))
  return app
}

async function cpuMicros(run: () => unknown): Promise<number> {
  const before = process.cpuUsage()
  for (let call = 0; call < CALLS; call++) await run()
  const { user, system } = process.cpuUsage(before)
  return (user + system) / CALLS
}

const median = (values: number[]) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!
const request = (path: string) =>
  new Request(`http://localhost${path}`, {
    method: 'POST',
    body: BODY,
    headers: { 'Content-Type': 'application/json' },
  })

async function benchRoute(): Promise<void> {
  const release = currentRelease()
  const wording = new Wording(release, { tag: 'en-US', english: 'en-US' })
  const echo = echoApp()
  const app = createApp({ openApiDocument: async () => '', releaseFile: async () => undefined })
  const core = () => advise({ release: release.compiled, findings: FINDINGS, limits: LIMITS })
  const worded = () => JSON.stringify(diagnose({ wording, findings: FINDINGS, limits: LIMITS }))
  const jobs = {
    'core (advise)': core,
    'core, worded and written as JSON': worded,
    'echo POST, same validation': async () => (await echo.fetch(request('/echo'))).text(),
    'POST /v1/diagnose': async () => (await app.fetch(request('/v1/diagnose'))).text(),
    'POST /v1/diagnose again (noise)': async () => (await app.fetch(request('/v1/diagnose'))).text(),
  }
  const figures: Record<string, number[]> = {}
  for (const job of Object.values(jobs)) await cpuMicros(job)
  for (let round = 0; round < ROUNDS; round++)
    for (const [name, job] of Object.entries(jobs)) figures[name] = [...(figures[name] ?? []), await cpuMicros(job)]
  const medians = Object.fromEntries(Object.entries(figures).map(([name, values]) => [name, median(values)]))
  for (const [name, value] of Object.entries(medians))
    console.log(`${name.padEnd(36)} ${value.toFixed(0).padStart(7)} us CPU a call`)
  const [, words, echoed, route, again] = Object.values(medians) as [number, number, number, number, number]
  console.log(`route over core and echo: ${(route - words - echoed).toFixed(0)} us`)
  console.log(`throughput against 1/(core + echo): ${((words + echoed) / route).toFixed(2)}`)
  console.log(`machine noise (the same route twice): ratio ${(again / route).toFixed(2)}`)
}

// First what a service does, in a process that has done nothing else; the synthetic networks come last.
benchCases()
benchDevices()
await benchRoute()
benchCore()
benchColdStart(FINDINGS)
