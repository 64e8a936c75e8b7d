import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { probe, send, VALID } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const PATH = '/v1/histories/analyse'
const LINE = 'condition/phone-line-missing'
const MAINS = 'condition/mains-missing'
const LOW = 'condition/battery-low'

const analyse = (body: object, headers: Record<string, string> = {}) => ask(send, 'POST', PATH, body, headers)
const two = (value: number) => String(value).padStart(2, '0')

interface Sent {
  at: string
  condition?: string
  device?: string
  state: 'trouble' | 'restore'
}
/** From a day of March 2026, at a local time, for so many minutes. */
function spell(day: number, clock: string, minutes: number, condition = LINE, device?: string): Sent[] {
  const fromMs = Date.parse(`2026-03-01T${clock}:00Z`) + (day - 1) * 86_400_000
  const at = (ms: number) => new Date(ms).toISOString().slice(0, 16)
  const what = { condition, ...(device !== undefined && { device }) }
  return [
    { at: at(fromMs), ...what, state: 'trouble' },
    { at: at(fromMs + minutes * 60_000), ...what, state: 'restore' },
  ]
}
/** Eleven of fourteen losses between 02:50 and 03:20, three elsewhere. */
const HOURS = ['02:50', '02:52', '02:57', '03:00', '03:03', '03:05', '03:08', '03:11', '03:14', '03:17', '03:20']
const NIGHTS = [...HOURS, '11:40', '16:05', '21:30'].flatMap((clock, index) => spell(2 * index + 1, clock, 14))
const answerOf = async (body: object) => {
  const { status, body: answer } = await analyse(body)
  expect(status, JSON.stringify(answer)).toBe(200)
  return answer
}
const checksOf = (answer: any) => answer.findings.map(({ finding }: any) => `${finding.check} ${finding.result}`)

describe('POST /v1/histories/analyse answers', () => {
  test('a telephone line lost at three every night, in one plain sentence', async () => {
    const answer = await answerOf({ zone: 'Europe/Madrid', events: NIGHTS })
    const [series] = answer.series
    expect(series).toMatchObject({ condition: LINE, starts: 14, standing: false })
    expect(series.timeOfDay).toMatchObject({ pattern: 'fixed-hour', window: { from: '02:50', to: '03:20', count: 11 } })
    const sentence = answer.sentences.find((text: string) => text.startsWith(series.label))
    expect(sentence).toMatch(
      /11 of 14 starts fall between 02:50 and 03:20; chance of that by accident 1 in [\d,]+ \(Rayleigh test\)/,
    )
  })

  test('with a finding that a diagnosis takes as it is, and that moves it', async () => {
    const answer = await answerOf({ zone: 'Europe/Madrid', events: NIGHTS })
    expect(checksOf(answer)).toContain('check/ask-pattern at-night')
    const findings = answer.findings.map(({ finding }: any) => finding)
    const standing = { kind: 'condition', condition: LINE, state: 'present' }
    const rank = async (more: object[]) => {
      const { status, body } = await ask(send, 'POST', '/v1/diagnose', { findings: [standing, ...more] })
      expect(status, JSON.stringify(body)).toBe(200)
      return body.causes.find(({ cause }: any) => cause === 'cause/phone-night-maintenance')?.probability ?? 0
    }
    expect(await rank(findings)).toBeGreaterThan(await rank([]))
  })

  test('one finding for one hour, never the same fact under two questions', async () => {
    const ofTheHour = ['check/ask-pattern', 'check/ask-same-hour', 'check/ask-outage-hours', 'check/battery-test-hour']
    for (const condition of [LINE, MAINS, LOW, 'condition/ip-path-down']) {
      const events = HOURS.flatMap((clock, index) => spell(index + 1, clock, 14, condition))
      const { findings } = await answerOf({ zone: 'Europe/Madrid', events })
      expect(
        findings.filter(({ finding }: any) => ofTheHour.includes(finding.check)),
        condition,
      ).toHaveLength(1)
    }
  })

  test("a battery item at a fixed hour as the system's own test, not as the night", async () => {
    const events = HOURS.flatMap((clock, index) => spell(index + 1, clock, 14, LOW))
    const checks = checksOf(await answerOf({ zone: 'Europe/Madrid', events }))
    expect(checks).toContain('check/battery-test-hour same-hour')
    expect(checks).not.toContain('check/ask-pattern at-night')
  })

  test('no finding of the hour where nothing stands out', async () => {
    const spread = ['00:30', '02:10', '05:00', '07:40', '09:20', '12:10', '14:00', '16:30', '18:50', '20:10', '22:40']
    const answer = await answerOf({ events: spread.flatMap((clock, index) => spell(index + 1, clock, 300)) })
    expect(answer.findings).toEqual([])
    expect(answer.sentences.join(' ')).toContain('No hour of the day stands out among 11 starts.')
  })

  test('what the spells themselves say: brief dips, a line that clears itself, a loop that comes and goes', async () => {
    const clocks = ['01:00', '09:00', '15:00']
    const brief = clocks.flatMap((clock, index) => spell(index + 1, clock, 1, MAINS))
    const loop = clocks.flatMap((clock, index) => spell(index + 5, clock, 30, 'condition/loop-fault-open', '12'))
    const line = clocks.flatMap((clock, index) => spell(index + 9, clock, 30))
    const answer = await answerOf({ events: [...brief, ...loop, ...line] })
    expect(checksOf(answer).sort()).toEqual([
      'check/brief-dip-history brief',
      'check/line-clears-itself yes',
      'check/zone-comes-and-goes comes-and-goes',
    ])
    const ofDevice = answer.findings.find(({ finding }: any) => finding.check === 'check/zone-comes-and-goes')
    expect(ofDevice.finding.device).toBe('12')
  })

  test('a cell warning before the same device fell silent, not before another did', async () => {
    const warned = spell(1, '10:00', 60, 'condition/radio-sensor-battery-low', 'hall')
    const silent = (device: string) => spell(20, '10:00', 60, 'condition/radio-device-missing', device)
    expect(checksOf(await answerOf({ events: [...warned, ...silent('hall')] }))).toEqual([
      'check/battery-warning-before warned',
    ])
    expect(checksOf(await answerOf({ events: [...warned, ...silent('attic')] }))).toEqual([])
  })

  test('a low battery that follows mains losses, with the capacity at the stated load', async () => {
    const clocks = ['01:10', '13:20', '07:40', '19:05', '10:30', '23:15']
    const events = clocks.flatMap((clock, index) => {
      const [lost, back] = spell(1 + 4 * index, clock, 420, MAINS)
      const [low] = spell(1 + 4 * index, clock, 0, LOW)
      const lowMs = Date.parse(`${low!.at}:00Z`) + (360 - 20 * index) * 60_000
      const signal: Sent = { ...low!, at: new Date(lowMs).toISOString().slice(0, 16) }
      const clear: Sent = { ...signal, at: new Date(lowMs + 7_200_000).toISOString().slice(0, 16), state: 'restore' }
      return [lost!, signal, back!, clear]
    })
    const answer = await answerOf({ events, loadCurrent: { value: 420, unit: 'mA' } })
    const follows = answer.successions.find(
      ({ second }: any) => second === answer.series.find(({ condition }: any) => condition === LOW).label,
    )
    expect(follows).toMatchObject({ windows: 6, followed: 6, test: { clear: true } })
    expect(answer.endurance).toMatchObject({ outages: 6, whole: 6, test: { test: 'kendall', clear: true } })
    expect(answer.endurance.slopePerYear.value).toBeLessThan(0)
    const { low, value, high } = answer.endurance.capacity
    expect(low.unit).toBe('A.h')
    expect(low.value).toBeLessThan(value.value)
    expect(high.value).toBeGreaterThan(value.value)
  })

  test('what was left out of the list and what its clock did', async () => {
    const events = [
      ...NIGHTS,
      { at: '2000-01-01T00:00', condition: LINE, state: 'trouble' },
      { at: '2026-02-30T00:00', condition: LINE, state: 'trouble' },
      { at: '2026-03-29T02:30', condition: MAINS, state: 'trouble' },
      { at: '2026-03-29T02:30', condition: MAINS, state: 'trouble' },
    ]
    const answer = await answerOf({ zone: 'Europe/Madrid', events })
    expect(answer.cleaned).toEqual({
      received: 32,
      kept: 29,
      repeats: 1,
      impossible: 1,
      beforePlausibleYear: 1,
      outsideWatch: 0,
      farAway: 0,
    })
    expect(answer.clock.inSkippedHour).toBe(2)
  })

  test('the same for moments in UTC as for local times, summer time included', async () => {
    const events = HOURS.flatMap((clock, index) => spell(24 + index, clock, 14))
    const inUtc = events.map((event) => {
      const hours = Date.parse(`${event.at}:00Z`) >= Date.parse('2026-03-29T02:00:00Z') ? 2 : 1
      return { ...event, at: new Date(Date.parse(`${event.at}:00Z`) - hours * 3_600_000).toISOString() }
    })
    const [one, other] = [
      await answerOf({ zone: 'Europe/Madrid', events }),
      await answerOf({ zone: 'Europe/Madrid', events: inUtc }),
    ]
    expect(other.series).toEqual(one.series)
    expect(one.watch).toEqual(other.watch)
  })

  test('codes of a standard as the conditions they stand for, and a restoral code as the end of its trouble', async () => {
    const events = [1, 2, 3].flatMap((day) => [
      { at: `2026-03-0${day}T10:00`, scheme: 'dc-03', code: 'AT', state: 'trouble' },
      { at: `2026-03-0${day}T11:00`, scheme: 'dc-03', code: 'AR' },
    ])
    const { series } = await answerOf({ events })
    expect(series).toHaveLength(1)
    expect(series[0]).toMatchObject({
      condition: MAINS,
      starts: 3,
      durations: { whole: 3, median: { value: 3600, unit: 's' } },
    })
  })

  test('a code that no one condition answers to under its own name', async () => {
    const { series, findings } = await answerOf({
      scheme: 'dc-05',
      events: [{ at: '2026-03-01T10:00', code: '401', state: 'trouble' }],
    })
    expect(series[0]).toMatchObject({ scheme: 'dc-05', code: '401' })
    expect(series[0].condition).toBeUndefined()
    expect(findings).toEqual([])
  })

  test('the same from CSV and from NDJSON, through a map of columns', async () => {
    const rows = NIGHTS.map(({ at, state }) => ({ when: at, id: '351', flag: state === 'trouble' ? 'E' : 'R' }))
    const csv = ['flag,"when",other,id', ...rows.map(({ when, id, flag }) => `${flag},${when},"x, y",${id}`)].join(
      '\r\n',
    )
    const ndjson = rows.map((row) => JSON.stringify({ ...row, id: Number(row.id) })).join('\n')
    const shared = {
      zone: 'Europe/Madrid',
      scheme: 'dc-05',
      columns: { at: 'when', code: 'id', state: 'flag' },
      states: { trouble: ['e'], restore: ['r'] },
    }
    const expected = await answerOf({ zone: 'Europe/Madrid', events: NIGHTS })
    for (const text of [{ csv }, { ndjson }])
      expect((await answerOf({ ...shared, ...text })).series).toEqual(expected.series)
  })

  test('names in another language where it has them', async () => {
    const { body, headers } = await analyse({ language: 'es', events: NIGHTS })
    expect(headers.get('Content-Language')).toBe('es')
    expect(body.series[0].label).not.toBe((await answerOf({ events: NIGHTS })).series[0].label)
  })

  test('a drawing with its words inside, for a reader that accepts it', async () => {
    const response = await send(PATH, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Accept: 'image/svg+xml' },
      body: JSON.stringify({ zone: 'Europe/Madrid', events: NIGHTS }),
    })
    const svg = await response.text()
    expect(response.headers.get('Content-Type')).toBe('image/svg+xml')
    expect(svg).toContain('11 of 14 starts fall between 02:50 and 03:20')
    expect(svg).not.toMatch(/NaN|undefined|<script/)
  })

  test('a drawing that does not grow with the list, and escapes what it is sent', async () => {
    const events = Array.from({ length: 4000 }, (_, index) =>
      spell(1 + (index % 28), `${two(index % 24)}:${two(index % 60)}`, 1, LINE, '<&">'),
    ).flat()
    const response = await send(PATH, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Accept: 'image/svg+xml' },
      body: JSON.stringify({ events }),
    })
    const svg = await response.text()
    expect(svg.length).toBeLessThan(120_000)
    expect(svg).not.toContain('<&">')
  })

  test('the same again when asked again', async () => {
    expect(await answerOf(VALID[PATH]!)).toEqual(await answerOf(VALID[PATH]!))
  })
})

describe('POST /v1/histories/analyse refuses', () => {
  const refused = async (body: object) => {
    const { status, body: problem } = await analyse(body)
    expect(status).toBe(422)
    return [problem.code, ...problem.errors.map(({ pointer }: { pointer: string }) => pointer)]
  }
  const event = { at: '2026-03-01T10:00', condition: LINE, state: 'trouble' }

  test.each<[string, object, string[]]>([
    ['no list', {}, ['INPUT_INVALID', '/events']],
    ['two lists', { events: [event], csv: 'at,code,state\n' }, ['INPUT_INVALID', '/csv']],
    ['a list with a header alone', { csv: 'at,code,state\n' }, ['NO_EVIDENCE', '/events']],
    ['a time in no form', { events: [event, { ...event, at: 'noon' }] }, ['INPUT_INVALID', '/events/1/at']],
    [
      'neither condition nor code',
      { events: [{ at: event.at, state: 'trouble' }] },
      ['INPUT_INVALID', '/events/0/code'],
    ],
    [
      'both of them',
      { events: [{ ...event, scheme: 'dc-05', code: '351' }] },
      ['INPUT_INVALID', '/events/0/condition'],
    ],
    ['no state', { events: [{ at: event.at, condition: LINE }] }, ['INPUT_INVALID', '/events/0/state']],
    [
      'an unknown condition',
      { events: [{ ...event, condition: 'condition/none' }] },
      ['UNKNOWN_ID', '/events/0/condition'],
    ],
    [
      'a cause in place of one',
      { events: [{ ...event, condition: 'cause/brief-dip' }] },
      ['UNKNOWN_ID', '/events/0/condition'],
    ],
    [
      'an unknown scheme',
      { events: [{ at: event.at, state: 'trouble', scheme: 'dc-99', code: '1' }] },
      ['UNKNOWN_ID', '/events/0/scheme'],
    ],
    [
      'an unknown code',
      { events: [{ at: event.at, state: 'trouble', scheme: 'dc-05', code: '999999' }] },
      ['UNKNOWN_ID', '/events/0/code'],
    ],
    ['an unknown zone', { zone: 'Mars/Base', events: [event] }, ['UNKNOWN_ID', '/zone']],
    [
      'a watch that ends before it begins',
      { watch: { from: '2026-03-02T00:00:00Z', to: '2026-03-01T00:00:00Z' }, events: [event] },
      ['QUANTITY_OUT_OF_RANGE', '/watch/to'],
    ],
    [
      'a load of another dimension',
      { loadCurrent: { value: 7, unit: 'Ah' }, events: [event] },
      ['UNIT_MISMATCH', '/loadCurrent/unit'],
    ],
    [
      'a load below zero',
      { loadCurrent: { value: -7, unit: 'A' }, events: [event] },
      ['QUANTITY_OUT_OF_RANGE', '/loadCurrent'],
    ],
    [
      'a column that is not there',
      { columns: { at: 'when' }, csv: 'at,code,state\n' },
      ['INPUT_INVALID', '/columns/at'],
    ],
    ['a quote that is never closed', { csv: 'at,condition,state\n"2026' }, ['INPUT_INVALID', '/csv']],
    ['a line that is no object', { ndjson: '{"at":"2026-03-01T10:00"\n' }, ['INPUT_INVALID', '/ndjson']],
  ])('%s', async (_, body, expected) => {
    expect(await refused(body)).toEqual(expected)
  })

  test('every faulty line of a text at once, each with its number', async () => {
    const csv = `at,condition,state\n2026-03-01 10:00,${LINE},trouble\nnoon,${LINE},trouble\n2026-03-02 10:00,${LINE},maybe\n`
    const { body } = await analyse({ csv })
    expect(body.errors.map(({ detail }: { detail: string }) => /^line \d+: \w+/.exec(detail)?.[0])).toEqual([
      'line 3: at',
      'line 4: state',
    ])
  })

  test('a record with a field too many', async () => {
    const { body } = await analyse({ csv: `at,condition,state\n2026-03-01 10:00,${LINE},trouble,x\n` })
    expect(body.errors[0].detail).toBe('line 2: record must have 3 fields, got 4')
  })

  test('more events than the limit that the capabilities name', async () => {
    const { body: capabilities } = await ask(send, 'GET', '/v1/capabilities')
    const limit = capabilities.limits.historyEvents
    const ndjson = '{}\n'.repeat(limit + 1)
    const { status, body } = await analyse({ ndjson })
    expect([status, body.errors[0].limit]).toEqual([422, limit])
  })
})

test('a name from the prototype of objects is no field of a line', async () => {
  const { status } = await analyse({ ndjson: '{"__proto__":{"at":"2026-03-01T10:00"}}', columns: { at: '__proto__' } })
  expect(status).toBe(422)
})

test('any list is answered or refused with a problem', async () => {
  const clock = fc
    .date({ min: new Date('1999-01-01'), max: new Date('9999-12-31'), noInvalidDate: true })
    .chain((date) =>
      fc.constantFrom('', 'Z', '+14:00', '-03:30').map((offset) => date.toISOString().slice(0, 19) + offset),
    )
  const event = fc.record(
    {
      at: fc.oneof(
        { weight: 30, arbitrary: clock },
        { weight: 1, arbitrary: fc.string({ minLength: 1, maxLength: 30 }) },
      ),
      condition: fc.constantFrom(LINE, MAINS, LOW, 'condition/radio-device-missing'),
      state: fc.constantFrom('trouble', 'restore'),
      device: fc.constantFrom('1', '__proto__', 'constructor'),
    },
    { requiredKeys: ['at', 'condition', 'state'] },
  )
  const body = fc.record(
    {
      events: fc.array(event, { minLength: 1, maxLength: 40 }),
      zone: fc.constantFrom('Europe/Madrid', 'Australia/Lord_Howe', 'Pacific/Apia', 'UTC', 'x'),
      expectedTime: fc.constantFrom('00:00', '23:59'),
      loadCurrent: fc.record({ value: fc.double({ min: -1, max: 2000, noNaN: true }), unit: fc.constant('A') }),
    },
    { requiredKeys: ['events'] },
  )
  const statuses = new Set<number>()
  await fc.assert(
    fc.asyncProperty(body, async (sent) => {
      const text = JSON.stringify(sent)
      const { status } = await probe('POST', PATH, { text })
      statuses.add(status)
      const headers = { 'Content-Type': 'application/json', Accept: 'image/svg+xml' }
      expect((await send(PATH, { method: 'POST', headers, body: text })).status).toBe(status)
    }),
    { numRuns: 300 },
  )
  expect([...statuses].sort()).toEqual([200, 422])
})
