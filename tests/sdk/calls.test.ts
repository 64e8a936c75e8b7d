import { afterAll, beforeAll, expect, test } from 'vitest'
import { collect, items, TroubleAtlas, TroubleAtlasError } from '../../sdk/src/index.ts'
import { createNodeApp } from '../../src/node.ts'
import { createKey } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'

let database: Database
let app: ReturnType<typeof createNodeApp>
let apiKey: string
beforeAll(async () => {
  database = await openDatabase(':memory:')
  app = createNodeApp(database)
  apiKey = await createKey(database, 'corner', ['calls'], 0)
})
afterAll(() => database.client.close())

const overApp = ((input: string, init: RequestInit) => app.request(input, init)) as typeof fetch
const atlas = (fetch = overApp) => new TroubleAtlas({ baseUrl: 'http://atlas.example', apiKey, fetch })
const mains = { kind: 'condition' as const, condition: 'condition/mains-missing', state: 'present' as const }

/** A network that carries each request and loses the first answer to it. */
function losingAnswers(): { fetch: typeof fetch; sent: () => number } {
  const seen = new Set<string>()
  let sent = 0
  const lossy = (async (input: string, init: RequestInit) => {
    sent += 1
    const response = await app.request(input, init)
    if (init.method === 'GET' || seen.has(input)) return response
    seen.add(input)
    throw new TypeError('the line dropped')
  }) as typeof fetch
  return { fetch: lossy, sent: () => sent }
}

test('a call goes from its opening to its outcome, each write on the answer before', async () => {
  const client = atlas()
  const opened = (await client.createCall({ siteRef: 'site-1' })).value
  const told = (await client.addFindings(opened, { by: 'caller', findings: [mains] })).value
  const advised = (await client.adviseCall(told, { limits: { who: 'handy', tools: [] } })).value
  expect(advised.answer.causes[0]!.probability).toBeGreaterThan(0.1)
  const step = {
    kind: 'tried' as const,
    by: 'caller' as const,
    remedy: advised.answer.plan[0]!.remedy,
    result: 'cleared' as const,
  }
  const tried = (await client.recordStep(advised, step)).value
  const noted = (await client.addNote(tried, { by: 'shop', text: 'all clear' })).value
  const closed = (await client.closeCall(noted, { conclusion: 'gone-by-itself' })).value
  expect([closed.status, closed.seq]).toEqual(['closed', 6])
  expect((await client.getCall(closed.call)).value).toEqual(closed)
  expect((await client.replayCall(closed.call)).value.isSame).toBe(true)
  expect((await client.getCallAdvice(closed.call, advised.seq)).value).toEqual(advised)
  expect((await client.getCallSummary(closed.call, 'text/plain')).value).toContain('all clear')
  expect(
    (await client.getCallNotices(closed.call, { longerThanMinutes: 0, asOf: '2099-01-01T00:00:00Z' })).value.call,
  ).toBe(closed.call)
  expect((await client.listRelatedCalls(closed.call)).value.calls).toEqual([])
  const asked = (await client.followUpCall(closed, { by: 'caller', answer: 'came-back' })).value
  const reopened = (await client.reopenCall(asked, { reason: 'came-back' })).value
  const arranged = (await client.arrangeContact(reopened, { contactRef: 'contact-1', reachBy: 'relay' })).value
  const attempted = (await client.recordAttempt(arranged, { reachBy: 'relay', outcome: 'reached' })).value
  expect((await client.listCallEvents(opened.call, { limit: 100 })).value.items).toHaveLength(attempted.seq)
  await client.eraseCall(attempted)
  await expect(client.getCall(opened.call)).rejects.toMatchObject({ status: 410 })
})

test('a write on a state that has gone by is refused and says so', async () => {
  const client = atlas()
  const opened = (await client.createCall()).value
  await client.addFindings(opened, { by: 'caller', findings: [mains] })
  const late = client.addFindings(opened, { by: 'caller', findings: [mains] })
  await expect(late).rejects.toBeInstanceOf(TroubleAtlasError)
  await expect(late).rejects.toMatchObject({ status: 412 })
})

test('an answer lost on the way doubles nothing', async () => {
  const { fetch, sent } = losingAnswers()
  const client = atlas(fetch)
  const opened = (await client.createCall({ siteRef: 'site-lossy' })).value
  const told = (await client.addFindings(opened, { by: 'caller', findings: [mains] })).value
  expect([sent(), told.seq, told.findings.length]).toEqual([4, 2, 1])
  expect((await atlas().listCalls({ siteRef: 'site-lossy' })).value.items).toHaveLength(1)
})

test('lists, exports and settings', async () => {
  const client = atlas()
  for (let index = 0; index < 3; index++) await client.createCall({ siteRef: 'site-many' })
  const page = (cursor: string | undefined) =>
    client.listCalls({ siteRef: 'site-many', limit: 2, ...(cursor === undefined ? {} : { cursor }) })
  expect(await collect(items(page), { limit: 10 })).toHaveLength(3)
  const lines = []
  for await (const line of (await client.exportCalls()).value) lines.push(line)
  expect(lines).toHaveLength((await client.listCalls({ limit: 200 })).value.items.length)
  const was = (await client.getCallSettings()).value
  expect((await client.putCallSettings(was, { retentionDays: 90 })).value).toEqual({ retentionDays: 90 })
})
