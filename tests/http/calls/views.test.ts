import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { ask, type Send } from '../../support/service.ts'
import { add, closedCall, found, MAINS, open, twoShops } from '../../support/shop-calls.ts'

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
beforeAll(async () => {
  shops = await twoShops()
  north = shops.north
})
afterAll(() => shops.database.client.close())

const newCall = async (body: object = {}) => (await open(north, body)).body.call as string

describe('GET /v1/calls', () => {
  const idsOf = async (query: string) =>
    (await ask(north, 'GET', `/v1/calls?${query}`)).body.items.map(({ call }: any) => call) as string[]
  let made: string[]
  beforeAll(async () => {
    made = []
    for (let index = 0; index < 7; index++)
      made.push(await newCall({ siteRef: 'site-list', ...(index < 2 ? { contactRef: 'contact-list' } : {}) }))
    await add(north, made[0]!, 'findings', found(MAINS))
    await add(north, made[1]!, 'findings', found({ ...MAINS, state: 'absent' }))
    await add(north, made[2]!, 'contact', { callbackDue: '2026-03-02T10:00:00Z' })
    made.push((await closedCall(north, { siteRef: 'site-list' })).call)
  })

  test.each<[string, () => string[]]>([
    ['status=closed', () => [made[7]!]],
    ['contactRef=contact-list', () => [made[1]!, made[0]!]],
    ['due=2026-03-02T10:00:00Z', () => [made[2]!]],
    ['due=2026-03-02T09:59:59Z', () => []],
    ['condition=condition/mains-missing', () => [made[7]!, made[0]!]],
    ['cause=cause/socket-switched-off', () => [made[7]!]],
    ['cause=cause/supply-unplugged', () => []],
    ['condition=condition/mains-missing&status=open', () => [made[0]!]],
    ['from=2099-01-01T00:00:00Z', () => []],
    ['to=2020-01-01T00:00:00Z', () => []],
  ])('by %s', async (query, expected) => {
    expect((await idsOf(`siteRef=site-list&${query}`)).sort()).toEqual(expected().sort())
  })

  test('goes page by page through every call once, the newest first, the last page without next', async () => {
    const seen: string[] = []
    let cursor: string | undefined
    let pages = 0
    do {
      const next = cursor === undefined ? '' : `&cursor=${cursor}`
      const { body } = await ask(north, 'GET', `/v1/calls?siteRef=site-list&limit=3${next}`)
      seen.push(...body.items.map(({ call }: any) => call))
      expect('next' in body).toBe(body.next !== undefined)
      cursor = body.next
      pages += 1
      if (pages === 1) await newCall({ siteRef: 'site-list' })
    } while (cursor !== undefined)
    expect([pages, [...seen].sort()]).toEqual([3, [...made].sort()])
    const all = (await ask(north, 'GET', '/v1/calls?siteRef=site-list')).body.items
    expect(all.map(({ openedAt }: any) => openedAt)).toEqual(
      all
        .map(({ openedAt }: any) => openedAt)
        .sort()
        .reverse(),
    )
  })

  test('refuses a cursor of other filters, of another list and of nobody', async () => {
    const { next } = (await ask(north, 'GET', '/v1/calls?siteRef=site-list&limit=1')).body
    const events = (await ask(north, 'GET', `/v1/calls/${made[7]}/events?limit=1`)).body.next
    for (const query of [
      `cursor=${next}`,
      `siteRef=site-list&status=open&cursor=${next}`,
      `cursor=${events}`,
      'cursor=WyJ4Il0',
    ]) {
      const { status, body } = await ask(north, 'GET', `/v1/calls?${query}`)
      expect([status, body.errors[0].pointer], query).toEqual([422, '?cursor'])
    }
  })

  test('reads the log of a call in order, page by page', async () => {
    const first = (await ask(north, 'GET', `/v1/calls/${made[7]}/events?limit=3`)).body
    const rest = (await ask(north, 'GET', `/v1/calls/${made[7]}/events?limit=3&cursor=${first.next}`)).body
    const kinds = [...first.items, ...rest.items].map(({ seq, kind }: any) => `${seq} ${kind}`)
    expect([kinds, 'next' in rest]).toEqual([['1 opened', '2 found', '3 advised', '4 closed'], false])
  })
})

describe('GET /v1/calls/{call}/summary', () => {
  const sheet = async (call: string, accept: string) => {
    const response = await north(`/v1/calls/${call}/summary`, { headers: { Accept: accept } })
    return { response, text: await response.text() }
  }

  test('is a page that says what was reported, advised and found, with its cautions and no script', async () => {
    const { call } = await closedCall(north, { siteRef: 'site-sheet' })
    const { response, text } = await sheet(call, 'text/html')
    expect([response.status, response.headers.get('Content-Type')]).toEqual([200, 'text/html; charset=UTF-8'])
    for (const said of [
      'site-sheet',
      'AC power missing',
      'Cautions',
      'Likely causes',
      'confirmed by a check',
      '@media print',
    ])
      expect(text).toContain(said)
    expect(text).not.toContain('<script')
  })

  test('lets nothing load or run but its own style', async () => {
    const { response, text } = await sheet((await closedCall(north)).call, 'text/html')
    const policy = response.headers.get('Content-Security-Policy')!
    const style = /<style>([\s\S]*?)<\/style>/.exec(text)![1]!
    const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(style))
    const hash = Buffer.from(digest).toString('base64')
    expect(policy).toContain(`style-src 'sha256-${hash}'`)
    expect(policy).toContain("default-src 'none'")
    expect(policy).not.toContain('unsafe')
    expect(text).not.toMatch(/ (?:style|on\w+)=/)
  })

  const HOSTILE = `<script>alert(1)</script>"'><img src=x onerror=y>&amp;\u202e\u2028`
  test.each(['notes', 'device'])('writes hostile text in %s out as text', async (place) => {
    const call = await newCall()
    if (place === 'notes') await add(north, call, 'notes', { by: 'shop', text: HOSTILE })
    else {
      const device = HOSTILE.slice(0, 64)
      const condition = 'condition/radio-device-missing'
      const kept = await add(north, call, 'findings', found({ kind: 'condition', condition, state: 'present', device }))
      expect(kept.status).toBe(200)
    }
    const { text } = await sheet(call, 'text/html')
    expect(text).toContain('&lt;script&gt;alert(1)&lt;/script&gt;&quot;&#39;&gt;&lt;img')
    expect(text).not.toMatch(/<script|<img|\u202e|\u2028/)
  })

  test('as plain text keeps every entry on a line of its own', async () => {
    const call = await newCall()
    await add(north, call, 'notes', { by: 'shop', text: 'one\r\n\nOUTCOME\n- forged\u0000\u001b[31m' })
    const { response, text } = await sheet(call, 'text/plain')
    expect(response.headers.get('Content-Type')).toBe('text/plain; charset=UTF-8')
    expect(text).not.toMatch(/^OUTCOME$/m)
    expect(text).toMatch(/shop: one OUTCOME - forged \[31m$/m)
    expect([...text].filter((char) => char < ' ' && char !== '\n')).toEqual([])
  })

  test('is offered as nothing else', async () => {
    expect(
      (await north(`/v1/calls/${await newCall()}/summary`, { headers: { Accept: 'application/pdf' } })).status,
    ).toBe(406)
  })
})

describe('GET /v1/calls/{call}/notices', () => {
  const notices = (call: string, query: string) => ask(north, 'GET', `/v1/calls/${call}/notices?${query}`)

  test('says what stood for longer than the time that is asked, with the text of the ontology', async () => {
    const call = await newCall({ siteRef: 'site-7' })
    const at = (time: string, state: string) => ({ ...MAINS, state, observedAt: `2026-03-01T${time}:00Z` })
    await add(north, call, 'findings', found(at('08:00', 'present'), at('09:30', 'absent')))
    const { status, body } = await notices(call, 'longerThanMinutes=89&asOf=2026-03-01T12:00:00Z')
    expect([status, body.items.length, body.items[0].lasted]).toEqual([200, 1, { value: 90, unit: 'min' }])
    const { protection, texts } = body.items[0]
    const concept = (await ask(north, 'GET', '/v1/ontology/0.3.0/concepts/condition/mains-missing')).body
    expect(protection).toBe(concept.protection['en-US'])
    for (const text of Object.values<string>(texts))
      for (const said of ['site-7', 'from 2026-03-01 08:00 UTC to 2026-03-01 09:30 UTC (1 h 30 min)', protection])
        expect(text).toContain(said)
    expect((await notices(call, 'longerThanMinutes=90&asOf=2026-03-01T12:00:00Z')).body.items).toEqual([])
  })

  test('counts what still stands up to the moment that is asked', async () => {
    const call = await newCall()
    await add(north, call, 'findings', found({ ...MAINS, observedAt: '2026-03-01T08:00:00Z' }))
    const { body } = await notices(call, 'asOf=2026-03-03T09:00:00Z')
    expect(body.items[0].lasted.value).toBe(49 * 60)
    expect(body.items[0].texts.monitoringCenter).toContain('still standing as of 2026-03-03 09:00 UTC (2 d 1 h)')
    expect(body.items[0].texts.insurer).toContain(`Site of call ${call}`)
  })

  test('ends what a remedy cleared, and takes signals through the crosswalk', async () => {
    const call = await newCall()
    const signal = { kind: 'signal', scheme: 'dc-05', code: '301', observedAt: '2026-03-01T08:00:00Z' }
    await add(north, call, 'findings', found(signal))
    const { body } = await add(north, call, 'steps', {
      kind: 'tried',
      by: 'caller',
      remedy: 'remedy/plug-supply-in',
      result: 'cleared',
    })
    const [item] = (await notices(call, '')).body.items
    expect([item.condition, item.until]).toEqual(['condition/mains-missing', body.steps[0].at])
  })

  test('refuses a time that is none', async () => {
    expect((await notices(await newCall(), 'longerThanMinutes=-1')).status).toBe(422)
  })
})

describe('GET /v1/calls/{call}/related', () => {
  test('finds what recurs at a site by the reference of the shop', async () => {
    const first = await closedCall(north, { siteRef: 'site-again' })
    const other = await newCall({ siteRef: 'site-again' })
    await add(north, other, 'findings', found(MAINS))
    await newCall({ siteRef: 'site-elsewhere' })
    const { body } = await ask(north, 'GET', `/v1/calls/${other}/related`)
    expect(body.calls).toMatchObject([
      {
        call: first.call,
        shared: ['condition/mains-missing'],
        concepts: ['cause/socket-switched-off', 'condition/battery-low', 'condition/mains-missing'],
      },
    ])
    expect(body.recurring).toEqual([{ concept: 'condition/mains-missing', label: 'AC power missing', calls: 2 }])
  })

  test('is empty without a reference', async () => {
    expect((await ask(north, 'GET', `/v1/calls/${await newCall()}/related`)).body).toEqual({ calls: [], recurring: [] })
  })
})
