import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { formOf, LINE_SCHEMES } from '../../../src/domain/signals/line-form.ts'
import { readLine } from '../../../src/domain/signals/read-line.ts'
import type { CodeTable } from '../../../src/domain/signals/signal-event.ts'
import { encodeDc03, encodeDc05, frame, frames, messages, partsOf, spaced } from '../../support/signals.ts'

const table: CodeTable = (_, code) => (code === '301' || code === 'AT' ? { isRestoral: false } : undefined)
const read = (line: string, { account, isStrict = false }: { account?: string; isStrict?: boolean } = {}) =>
  readLine(line, account, { scheme: 'mixed', isStrict, table })
const eventOf = (line: string, account?: string) => {
  const decoded = read(line, account === undefined ? {} : { account })
  return decoded.ok ? decoded.value.events[0] : decoded.problem
}

describe('a line tells its form', () => {
  test.each([
    ['1234181301000006', 'dc-05-message'],
    ['1234 18 1301 00 000 6', 'dc-05-message'],
    ['12341813010000', 'dc-05-message'],
    ['1301 00 000', 'dc-05-content'],
    ['#4321|1301 00 000', 'dc-05-content'],
    ['[#4321|1301 00 000]', 'dc-05-content'],
    ['[#4321|Nri1/AT00]', 'dc-03-text'],
    ['Nri1/AT00', 'dc-03-text'],
    ['OYT', 'dc-03-text'],
    ['48 4E 72 69 31 2F 41 54 30 30 E9', 'dc-03-bytes'],
    ['7AB8003D"ADM-CID"0042R1L0#4321[#4321|1301 00 000]', 'dc-09-frame'],
    ['panel restarted by hand', undefined],
    ['Note', undefined],
    ['NOTE', undefined],
    ['Online again', undefined],
    ['', undefined],
  ])('%j is %s', (line, form) => {
    expect(formOf(line, 'mixed')).toBe(form)
  })

  test('of DC-03 may have its bytes in a row, where the caller says so', () => {
    expect(formOf('403887', 'dc-03')).toBe('dc-03-bytes')
    expect(formOf('403887', 'mixed')).toBeUndefined()
  })

  test('for every message, block and frame that can be sent', () => {
    fc.assert(
      fc.property(messages, frames, fc.constantFrom('AT', 'ri1/XT12', 'ti14:05/YT'), ({ fifteen }, fields, data) => {
        const { head, content } = partsOf(fields)
        expect(formOf(encodeDc05(fifteen), 'mixed')).toBe('dc-05-message')
        expect(formOf(spaced(encodeDc03('N', data)), 'mixed')).toBe('dc-03-bytes')
        expect(formOf(frame(`"ADM-CID"${head}[${content}`).trim(), 'mixed')).toBe('dc-09-frame')
      }),
    )
  })
})

describe('a line of a log', () => {
  test('has its moment from the time in front', () => {
    const at = { at: '2027-02-28T03:15:20+01:00' }
    expect(eventOf('2027-02-28T03:15:20+01:00 1234181301000006')).toMatchObject(at)
    expect(eventOf('[2027-02-28 03:15:20.125+01:00]: 1234181301000006')).toMatchObject(at)
  })

  test('has none from a time without a zone, and says so', () => {
    const decoded = read('2027-02-28 03:15:20 1234181301000006')
    expect(decoded).toMatchObject({ ok: true, problems: [{ code: 'TIME_WITHOUT_ZONE' }] })
    expect(decoded.ok && decoded.value.events[0]).not.toHaveProperty('at')
  })

  test('has none from a day that does not exist', () => {
    expect(eventOf('2027-02-30T03:15:20Z 1234181301000006')).toMatchObject({ code: '301' })
    expect(eventOf('2027-02-30T03:15:20Z 1234181301000006')).not.toHaveProperty('at')
  })

  test('may stand among blanks, unless read strictly', () => {
    const line = '  1234181301000006\0'
    expect(read(line)).toMatchObject({ ok: true, problems: [{ code: 'SURROUNDINGS' }] })
    expect(read(line, { isStrict: true })).toMatchObject({ ok: false, problem: { code: 'SURROUNDINGS' } })
  })

  test('that is no signal is refused', () => {
    expect(read('panel restarted by hand')).toMatchObject({ ok: false, problem: { code: 'UNRECOGNISED' } })
  })
})

describe('an event', () => {
  test('of qualifier 6 or of an old block was reported before', () => {
    expect(eventOf(encodeDc05('432118630900000'))).toMatchObject({ kind: 'event', isRepeated: true })
    expect(eventOf('OYT')).toMatchObject({ kind: 'event', isRepeated: true })
    expect(eventOf('NYT')).not.toHaveProperty('isRepeated')
  })

  test('of code 401 counts a user, and its restore is the closing', () => {
    expect(eventOf('3401 01 007')).toMatchObject({
      kind: 'restore',
      area: '01',
      address: { of: 'user', number: '007' },
    })
  })

  test('of area and zone zero has neither', () => {
    expect(eventOf('1301 00 000')).toEqual({ scheme: 'dc-05', code: '301', kind: 'event', problems: [] })
    expect(eventOf('Nri0/AT00')).toEqual({ scheme: 'dc-03', code: 'AT', kind: 'event', problems: [] })
  })

  test('of an unknown code names its block and is never refused', () => {
    const unknown = { code: '358', block: '350', problems: [{ code: 'UNKNOWN_CODE', limit: '350' }] }
    const decoded = read('7777181358000001', { isStrict: true })
    expect(decoded).toMatchObject({ ok: true, value: { events: [unknown] } })
    expect(eventOf('NQX1')).toMatchObject({ code: 'QX', problems: [{ code: 'UNKNOWN_CODE' }] })
    expect(eventOf('NQX1')).not.toHaveProperty('block')
  })

  test('keeps time, date, user and text of its block', () => {
    expect(eventOf('#1234|Nti14:05/da02-28-27/id7/ri2/YT|ABoiler room')).toEqual({
      scheme: 'dc-03',
      code: 'YT',
      kind: 'event',
      account: '1234',
      area: '2',
      address: { of: 'user', number: '7' },
      time: '14:05',
      date: '02-28-27',
      text: 'Boiler room',
      problems: [expect.objectContaining({ code: 'UNKNOWN_CODE' })],
    })
  })
})

describe('the account that a block of DC-03 names', () => {
  test('holds for blocks after it, also on later lines', () => {
    const named = read(spaced(encodeDc03('#', '1234')))
    expect(named).toMatchObject({ ok: true, value: { account: '1234' } })
    expect(eventOf(spaced(encodeDc03('N', 'AT')), '1234')).toMatchObject({ account: '1234' })
  })

  test('ends with the data', () => {
    const end = read(spaced(encodeDc03('0', '')), { account: '1234' })
    expect(end.ok && end.value).not.toHaveProperty('account')
  })

  test('does not reach into a message that has its own, or none', () => {
    expect(eventOf(encodeDc05('432118130100000'), '1234')).toMatchObject({ account: '4321' })
    expect(eventOf('1301 00 000', '1234')).not.toHaveProperty('account')
  })
})

describe('a frame with characters beyond ASCII', () => {
  const line = frame('"SIA-DCS"0007L0#4321[#4321|NBT1][IK\u00fcche]').trim()

  test('has its CRC over the bytes of the code page', () => {
    expect(read(line)).toMatchObject({ ok: true })
  })

  test('has its CRC over the bytes of UTF-8, where the sender used that', () => {
    const bytes = Buffer.from('"SIA-DCS"0007L0#4321[#4321|NBT1][IK\u00fcche]').toString('latin1')
    const asUtf8 = Buffer.from(frame(bytes).trim(), 'latin1').toString('utf8')
    expect(asUtf8).toContain('K\u00fcche')
    expect(read(asUtf8, { isStrict: true })).toMatchObject({ ok: true })
  })

  test('is refused where neither gives the CRC', () => {
    expect(read(line.replace('\u00fc', '\u4e2d'))).toMatchObject({ ok: false, problem: { code: 'CRC' } })
  })
})

test.each(LINE_SCHEMES)('a line of 32768 characters is read in no time as %s', (scheme) => {
  const heads = ['', '"', '#123|', '[#123|', 'N', '1234', '44 ', '2027-01-01T00:00:00Z ']
  const fills = [' ', '0', '[', ']', '|', '/', '00 ', '1 ', '"', '\0', '[A]', 'ri1/', '\u00fc', '2027-01-01T00:00:00Z ']
  const start = performance.now()
  for (const head of heads)
    for (const fill of fills)
      readLine(`${(head + fill.repeat(32_768)).slice(0, 32_768)}!`, undefined, { scheme, isStrict: false, table })
  // 112 lines; a pattern that goes back on itself would take seconds for one of them.
  expect(performance.now() - start).toBeLessThan(10_000)
})
