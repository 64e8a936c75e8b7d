import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { decodeDc09Content } from '../../../src/domain/signals/dc09-content.ts'
import { eventsOfFrame } from '../../../src/domain/signals/dc09-events.ts'
import { decodeDc09Frame } from '../../../src/domain/signals/dc09-frame.ts'
import { isWithinWindow, momentOf } from '../../../src/domain/signals/dc09-time.ts'
import type { CodeTable, Decoded } from '../../../src/domain/signals/signal-event.ts'
import { bytesOf, frame, frames, moments, partsOf, stampOf, VECTORS } from '../../support/signals.ts'

const known: CodeTable = () => ({ isRestoral: false })

function unwrap<T>(decoded: Decoded<T>): T {
  if (!decoded.ok) throw new Error(decoded.problem.message)
  return decoded.value
}

/** Head, content and events of a frame that is not encrypted. */
function read(text: string, isStrict = true) {
  const head = unwrap(decodeDc09Frame(bytesOf(text), isStrict))
  const content = unwrap(decodeDc09Content(head, head.sealed, isStrict))
  return { head, content, events: unwrap(eventsOfFrame(head, content, known, isStrict)) }
}
const problemsOf = (text: string, isStrict: boolean) => {
  const decoded = decodeDc09Frame(bytesOf(text), isStrict)
  return [decoded.ok ? 'read' : decoded.problem.code, ...decoded.problems.map(({ code }) => code)]
}
const contentProblemsOf = (text: string, isStrict: boolean) => {
  const head = unwrap(decodeDc09Frame(bytesOf(text), true))
  const decoded = decodeDc09Content(head, head.sealed, isStrict)
  return [decoded.ok ? 'read' : decoded.problem.code, ...decoded.problems.map(({ code }) => code)]
}

const valid = VECTORS.dc09.filter(({ expected }) => expected.isValid)

describe('a worked frame', () => {
  test.each(valid)('$id has its head read', ({ given, expected }) => {
    const head = unwrap(decodeDc09Frame(bytesOf(given.frame), true))
    const { crc, lengthField, lengthDecimal, token, isEncrypted = false } = expected
    expect(head).toMatchObject({ crc, lengthField, lengthDecimal, token, isEncrypted })
    for (const field of ['sequence', 'receiver', 'linePrefix', 'account'] as const)
      if (field in expected) expect([field, head[field] ?? null]).toEqual([field, expected[field]])
  })

  test.each(valid.filter(({ expected }) => !expected.isEncrypted))(
    '$id has its content read',
    ({ given, expected }) => {
      const { content, events } = read(given.frame)
      if ('data' in expected) expect(content.data).toBe(expected.data)
      if ('timestamp' in expected) expect(content.timestamp ?? null).toBe(expected.timestamp)
      if (expected.extended) expect(content.extended).toEqual(expected.extended)
      if (expected.eventCode) expect(events).toMatchObject([{ scheme: 'dc-05', code: expected.eventCode }])
      if (expected.dc03) {
        const { area, code, address } = expected.dc03
        expect(events).toMatchObject([{ scheme: 'dc-03', area, code, address: { of: 'zone', number: address } }])
      }
    },
  )

  test.each(VECTORS.dc09.filter(({ expected }) => !expected.isValid))('$id is refused', ({ given, expected }) => {
    expect(decodeDc09Frame(bytesOf(given.frame), true)).toMatchObject({ ok: false, problem: { code: expected.error } })
  })

  test('with a text has it beside its event', () => {
    expect(read(valid.find(({ id }) => id === 'dc09-03')!.given.frame).events).toMatchObject([
      { scheme: 'dc-03', code: 'RR', account: '1234', text: 'test' },
    ])
  })

  test('is known by zone 129 of code 110', () => {
    const [event] = read(valid.find(({ id }) => id === 'dc09-02')!.given.frame).events
    expect(event).toMatchObject({ kind: 'event', account: '12345A', address: { of: 'zone', number: '129' } })
    expect(event).not.toHaveProperty('area')
  })
})

test('a frame that is sent is the frame that is read', () => {
  fc.assert(
    fc.property(frames, (fields) => {
      const { head, content } = partsOf(fields)
      const decoded = read(frame(`"ADM-CID"${head}[${content}`))
      const { sequence, receiver, linePrefix, account, timestamp, extended } = fields
      expect(decoded.head).toMatchObject({ sequence, linePrefix, account, ...(receiver && { receiver }) })
      expect(decoded.content).toMatchObject({ timestamp, extended })
      const [event] = decoded.events
      expect(event).toMatchObject({ code: fields.eventCode, kind: fields.qualifier === '3' ? 'restore' : 'event' })
      expect(event?.area ?? '00').toBe(fields.group)
      expect(event?.address?.number ?? '000').toBe(fields.point)
    }),
    { numRuns: 1000 },
  )
})

test('any one changed byte is told by the CRC or spoils the prefix', () => {
  fc.assert(
    fc.property(frames, fc.nat(), fc.integer({ min: 1, max: 255 }), (fields, place, change) => {
      const { head, content } = partsOf(fields)
      const bytes = bytesOf(frame(`"ADM-CID"${head}[${content}`))
      const at = 9 + (place % (bytes.length - 10))
      bytes[at] = bytes[at]! ^ change
      // A carriage return ends the frame there, and what follows is another fault.
      fc.pre(bytes[at] !== 0x0d)
      expect(decodeDc09Frame(bytes, false).ok).toBe(false)
    }),
    { numRuns: 1000 },
  )
})

const BODY = '"ADM-CID"0042R1L0#4321[#4321|1301 00 000]'

describe('what a lenient reading passes over and a strict one refuses', () => {
  test.each([
    ['a wrong length under a right CRC', frame(BODY, { length: '0041' }), 'LENGTH'],
    ['a line prefix without digits', frame('"ADM-CID"0042R1L#4321[#4321|1301 00 000]'), 'LINE_PREFIX'],
    ['no line prefix', frame('"ADM-CID"0042R1#4321[#4321|1301 00 000]'), 'LINE_PREFIX'],
    ['a NUL behind the frame', `${frame(BODY)}\0`, 'SURROUNDINGS'],
    ['blanks before the frame', `  ${frame(BODY).trim()}`, 'SURROUNDINGS'],
    ['blanks behind the frame', `${frame(BODY).trim()}  `, 'SURROUNDINGS'],
  ])('%s', (_, text, code) => {
    expect(problemsOf(text, true)).toContain(code)
    expect(problemsOf(text, true)).not.toContain('read')
    expect(problemsOf(text, false)).toEqual(['read', code])
  })

  test.each(['without', 'with'])('a CRC sent as two bytes, %s its line feed', (feed) => {
    const digits = frame(BODY)
    const crc = Buffer.from(digits.slice(1, 5), 'hex').toString('latin1')
    const text = `${feed === 'with' ? '\n' : ''}${crc}${digits.slice(5)}`
    expect(problemsOf(text, false)).toEqual(['read', 'CRC_BINARY'])
    expect(problemsOf(text, true)).toEqual(['CRC_BINARY'])
  })

  test.each([
    ['an account in the data alone', '"ADM-CID"0042R1L0[#4321|1301 00 000]', 'ACCOUNT_MISSING'],
    ['a timestamp that is no moment', `${BODY}_24:00:00,02-30-2027`, 'TIMESTAMP'],
    ['extended data without a letter', `${BODY}[]`, 'EXTENDED'],
  ])('%s', (_, body, code) => {
    expect(contentProblemsOf(frame(body), true)).toEqual([code])
    expect(contentProblemsOf(frame(body), false)).toEqual(['read', code])
  })

  test('blanks between the fields of an event', () => {
    const head = unwrap(decodeDc09Frame(bytesOf(frame('"ADM-CID"0042R1L0#4321[#4321|1301  00 000]')), true))
    const content = unwrap(decodeDc09Content(head, head.sealed, true))
    expect(eventsOfFrame(head, content, known, true)).toMatchObject({ ok: false, problem: { code: 'SURROUNDINGS' } })
    expect(eventsOfFrame(head, content, known, false)).toMatchObject({ ok: true, problems: [{ code: 'SURROUNDINGS' }] })
  })
})

describe('what both readings refuse', () => {
  test.each([
    ['no quote', 'hello', 'FORMAT'],
    ['nothing', '', 'FORMAT'],
    ['two frames in one', frame(BODY) + frame(BODY), 'FORMAT'],
    ['a wrong CRC', frame(BODY, { crc: '0000' }), 'CRC'],
    ['a CRC that is no number', frame(BODY, { crc: 'GGGG' }), 'CRC'],
    ['no sequence', frame('"ADM-CID"R1L0#4321[]'), 'HEADER'],
    ['an account of two digits', frame('"ADM-CID"0001R1L0#12[]'), 'HEADER'],
    ['no bracket', frame('"ADM-CID"0001R1L0#1234'), 'HEADER'],
    ['a cipher text of half a block', frame('"*ADM-CID"0001R1L0#1234[0011223344556677'), 'CIPHER'],
    ['a cipher text of no digits', frame(`"*ADM-CID"0001R1L0#1234[${'xy'.repeat(16)}`), 'CIPHER'],
  ])('%s', (_, text, code) => {
    expect(problemsOf(text, true)[0]).toBe(code)
    expect(problemsOf(text, false)[0]).toBe(code)
  })

  test.each([
    ['data that does not end', '"ADM-CID"0001R1L0#1234[#1234|1301 00 000', 'CONTENT'],
    ['something else behind the data', `${BODY}x`, 'CONTENT'],
    ['an event without any account', '"ADM-CID"0001R1L0[1301 00 000]', 'ACCOUNT_MISSING'],
  ])('%s', (_, body, code) => {
    expect(contentProblemsOf(frame(body), false)).toEqual([code])
  })
})

describe('what is noted and never refused', () => {
  test.each([
    ['no receiver', frame('"ADM-CID"0042L0#4321[#4321|1301 00 000]'), 'RECEIVER_MISSING'],
    ['sequence 0000 of an event', frame('"ADM-CID"0000R1L0#4321[#4321|1301 00 000]'), 'SEQUENCE'],
  ])('%s', (_, text, code) => {
    for (const isStrict of [true, false]) expect(problemsOf(text, isStrict)).toEqual(['read', code])
  })

  test('an account in the data other than that of the frame', () => {
    const text = frame('"ADM-CID"0042R1L0#4321[#4322|1301 00 000]')
    expect(contentProblemsOf(text, true)).toEqual(['read', 'ACCOUNT_MISMATCH'])
    expect(read(text).events).toMatchObject([{ account: '4322' }])
  })

  test('a format that is not read here', () => {
    const head = unwrap(decodeDc09Frame(bytesOf(frame('"OLD-FMT"0042R1L0#4321[#4321|87]')), true))
    const content = unwrap(decodeDc09Content(head, head.sealed, true))
    expect(content.data).toBe('#4321|87')
    expect(eventsOfFrame(head, content, known, true)).toMatchObject({ value: [], problems: [{ code: 'TOKEN' }] })
  })
})

test.each(['NULL', 'ACK', 'NAK', 'DUH', 'RSP'])('%s carries no event', (token) => {
  expect(read(frame(`"${token}"0000R0L0#1234[]`)).events).toEqual([])
})

test('the time of occurrence goes before the time of sending', () => {
  const text = frame(`${BODY}[H23:59:00,12-31-2026]_00:10:00,01-01-2027`)
  expect(read(text).content.timestamp).toBe('2027-01-01T00:10:00Z')
  expect(read(text).events).toMatchObject([{ at: '2026-12-31T23:59:00Z' }])
})

describe('a timestamp', () => {
  test('is the moment that was stamped', () => {
    fc.assert(
      fc.property(moments, (moment) => {
        expect(momentOf(stampOf(moment))).toBe(moment)
      }),
    )
  })

  test.each([
    '00:00:00,02-29-2026',
    '00:00:00,02-29-2100',
    '24:00:00,01-01-2027',
    '00:60:00,01-01-2027',
    '00:00:60,01-01-2027',
    '00:00:00,13-01-2027',
    '00:00:00,00-10-2027',
    '00:00:00,04-31-2027',
    '00:00:00,01-00-2027',
    '0:00:00,01-01-2027',
    '',
  ])('%j is none', (stamp) => {
    expect(momentOf(stamp)).toBeUndefined()
  })

  test.each(['00:00:00,02-29-2028', '23:59:59,02-29-2000'])('%s exists', (stamp) => {
    expect(momentOf(stamp)).toBeDefined()
  })

  test.each(VECTORS.lookup.filter(({ given }) => given.timestampUtc))(
    '$id answers as stated',
    ({ given, expected }) => {
      const isTaken = isWithinWindow(Date.parse(given.timestampUtc), Date.parse(given.receiverClockUtc))
      expect(isTaken ? 'ACK' : 'NAK').toBe(expected.answer)
    },
  )

  test.each([
    [-40, true],
    [-40.001, false],
    [20, true],
    [20.001, false],
  ])('%d s ahead of the receiver is taken: %s', (aheadS, isTaken) => {
    expect(isWithinWindow(aheadS * 1000, 0)).toBe(isTaken)
  })
})
