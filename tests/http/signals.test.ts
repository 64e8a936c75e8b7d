import { describe, expect, test } from 'vitest'
import { LIMITS } from '../../src/http/limits.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'
import { encodeDc05, frame, sealed, VECTORS } from '../support/signals.ts'

const decode = (body: object) => ask(send, 'POST', '/v1/signals/decode', body)
const frameOf = (id: string) => VECTORS.dc09.find((vector) => vector.id === id)!.given
const keyHex = (text: string) => Buffer.from(text, 'latin1').toString('hex')

const LOG = [
  '1234181301000006',
  'panel looked at by hand',
  '',
  '44 23 31 32 33 34 9C',
  '48 4E 72 69 31 2F 59 54 30 30 F1',
  frameOf('dc09-06').frame.trim(),
  '48 4E 72 69 31 2F 59 54 30 30 F0',
  '1234181301000009',
  encodeDc05('123418340101007'),
].join('\n')

describe('answers', () => {
  test('a mixed log line by line, with an error for a line', async () => {
    const { status, body } = await decode({ text: LOG })
    expect(status).toBe(200)
    const seen = body.lines.map(({ line, events, problem }: any) => [
      line,
      events.map(({ scheme, code }: any) => `${scheme} ${code}`).join(),
      problem?.code,
    ])
    expect(seen).toEqual([
      [1, 'dc-05 301', undefined],
      [2, '', 'UNRECOGNISED'],
      [4, '', undefined],
      [5, 'dc-03 YT', undefined],
      [6, 'dc-05 301', undefined],
      [7, '', 'PARITY'],
      [8, '', 'CHECKSUM'],
      [9, 'dc-05 401', undefined],
    ])
    expect(body.lines[3].events[0]).toMatchObject({ account: '1234', title: 'System battery low' })
    expect(body.accounts).toEqual(['1234', '4321'])
  })

  test('each worked message, block and plain frame as stated', async () => {
    const plain = VECTORS.dc09.filter(({ expected }) => !expected.isEncrypted)
    const sent = [
      ...VECTORS.dc05.map(({ given, expected }) => ({ scheme: 'dc-05', text: given.message, expected })),
      ...VECTORS.dc03.map(({ given, expected }) => ({ scheme: 'dc-03', text: given.bytesHex, expected })),
      ...plain.map(({ given, expected }) => ({ scheme: 'dc-09', text: given.frame, expected })),
    ]
    for (const { scheme, text, expected } of sent)
      for (const named of [scheme, 'mixed']) {
        const { body } = await decode({ text, scheme: named, strict: true })
        const [line] = body.lines
        expect([text, named, line.problem?.code]).toEqual([text, named, expected.error])
        if (expected.eventCode) expect(line.events[0].code).toBe(expected.eventCode)
        if (expected.token) expect(line.frame).toMatchObject({ token: expected.token, sequence: expected.sequence })
      }
  })

  test('encrypted frames with the key of the request', async () => {
    const { frame: text, keyAscii } = frameOf('dc09-10')
    const { body } = await decode({ text, keyHex: keyHex(keyAscii) })
    expect(body.lines[0]).toMatchObject({
      events: [{ code: '301', kind: 'restore', account: '8899', at: '2027-06-01T12:00:00Z' }],
      frame: { token: 'ADM-CID', isEncrypted: true },
    })
    expect(body.findings).toMatchObject([{ condition: 'condition/mains-missing', state: 'absent' }])
  })

  test.each([16, 24, 32])('encrypted frames with a key of %i bytes', async (length) => {
    const key = Buffer.alloc(length, 'k')
    const text = sealed('"*ADM-CID"0100L0#8899', '#8899|1301 00 000]_12:00:00,06-01-2027', key)
    const { body } = await decode({ text, keyHex: key.toString('hex'), strict: true })
    expect(body.lines[0].events).toMatchObject([{ code: '301' }])
  })

  test('a link test whose pad has no bar, leniently', async () => {
    const { frame: text, keyAscii } = frameOf('dc09-05')
    const lenient = await decode({ text, keyHex: keyHex(keyAscii) })
    expect(lenient.body.lines[0]).toMatchObject({ events: [], frame: { timestamp: '2020-07-05T18:24:52Z' } })
    expect(lenient.body.lines[0].problems.map(({ code }: any) => code)).toEqual(['PAD'])
    const strict = await decode({ text, keyHex: keyHex(keyAscii), strict: true })
    expect(strict.body.lines[0].problem.code).toBe('PAD')
  })

  test('an encrypted frame without a key, or under another, with a problem for its line', async () => {
    const { frame: text } = frameOf('dc09-10')
    const without = await decode({ text: `${text}\n1234181301000006` })
    expect(without.body.lines.map(({ problem }: any) => problem?.code)).toEqual(['KEY_MISSING', undefined])
    const other = await decode({ text, keyHex: keyHex('another key 0123') })
    expect(other.body.lines[0].problem.code).toBe('DECRYPTION')
  })

  test('a wrong length under a right CRC leniently with a note, strictly not at all', async () => {
    const { frame: text } = frameOf('dc09-11')
    const lenient = await decode({ text })
    expect(lenient.body.lines[0]).toMatchObject({ events: [{ code: '401' }], problems: [{ code: 'LENGTH' }] })
    const strict = await decode({ text, strict: true })
    expect(strict.body.lines[0]).toMatchObject({ events: [], problem: { code: 'LENGTH' } })
  })

  test('two frames of one connection', async () => {
    const { body } = await decode({ text: frameOf('dc09-01').frame + frameOf('dc09-06').frame, scheme: 'dc-09' })
    expect(body.lines.map(({ events }: any) => events[0].code)).toEqual(['FA', '301'])
  })

  test('names beyond ASCII, under a CRC of their bytes', async () => {
    const text = frame('"SIA-DCS"0007R1L0#4321[#4321|NBT1][IK\u00fcche]')
    const { body } = await decode({ text, strict: true })
    expect(body.lines[0].frame.extended).toEqual([{ letter: 'I', text: 'K\u00fcche' }])
  })

  test('the accounts of a text, apart', async () => {
    const { body } = await decode({ text: '[#4321|1301 00 000]\n[#1234|3301 00 000]' })
    expect(body.accounts).toEqual(['4321', '1234'])
    expect(body.findings.map(({ state, source }: any) => [state, source])).toEqual([
      ['present', 'dc-05 301, account 4321'],
      ['absent', 'dc-05 301, account 1234'],
    ])
  })

  test('findings that a diagnosis takes, with the causes that the mains-loss signals call for', async () => {
    const decoded = await decode({ text: '1301 00 000\n1302 00 000\n1381 00 004\n3401 01 007' })
    const { findings, basis } = decoded.body
    const { status, body } = await ask(send, 'POST', '/v1/diagnose', { release: basis.release, findings })
    expect(status).toBe(200)
    expect(body.unused).toEqual([])
    expect(body.protection.map(({ condition }: any) => condition)).toContain('condition/mains-missing')
    expect(body.protection).toContainEqual(
      expect.objectContaining({ condition: 'condition/radio-device-missing', device: 'zone 4' }),
    )
  })

  test('by the release that is asked for; one without crosswalks knows no code', async () => {
    const { body } = await decode({ text: '1301 00 000', release: '0.1.0' })
    expect(body.basis.release).toBe('0.1.0')
    expect(body.findings).toEqual([])
    expect(body.unmapped).toMatchObject([{ code: '301', block: '300', reason: 'unknown-code' }])
  })
})

describe('refuses', () => {
  test.each(['', '00', 'g'.repeat(32), '0'.repeat(33), '0'.repeat(65), ` ${'0'.repeat(32)}`])(
    'the key %j without repeating it',
    async (key) => {
      const { status, body } = await decode({ text: '1301 00 000', keyHex: key })
      expect([status, body.errors[0].pointer]).toEqual([422, '/keyHex'])
      expect(body.errors[0]).not.toHaveProperty('value')
      if (key.length > 2) expect(JSON.stringify(body)).not.toContain(key)
    },
  )

  test('a text that is too long', async () => {
    const { status, body } = await decode({ text: 'x'.repeat(LIMITS.signalText + 1) })
    expect([status, body.errors[0]]).toMatchObject([422, { pointer: '/text', limit: LIMITS.signalText }])
  })

  test.each([
    [{ text: '' }, '/text'],
    [{}, '/text'],
    [{ text: 'x', scheme: 'dc-07' }, '/scheme'],
    [{ text: 'x', strict: 'yes' }, '/strict'],
    [{ text: 'x', key: 'x' }, '/key'],
    [{ text: 'x', release: '9.9.9' }, '/release'],
  ])('%j', async (sent, pointer) => {
    const { status, body } = await decode(sent)
    expect([status, body.errors[0].pointer]).toEqual([422, pointer])
  })
})

describe('guards', () => {
  test('a key from every answer', async () => {
    const { frame: text } = frameOf('dc09-10')
    for (const key of ['0123456789ABCDEF', 'another key 0123']) {
      const answer = JSON.stringify((await decode({ text, keyHex: keyHex(key) })).body)
      expect(answer).not.toContain(keyHex(key))
      expect(answer).not.toContain(key)
    }
  })

  test.each([
    ['lines of one character', 'x\n'],
    ['events of every zone', '1381 01 001\n'],
    ['codes in one block', '/AT1'],
    ['modifiers in one block', '/ri1'],
    ['opening brackets', '[A'],
  ])('its time against %s', async (_, piece) => {
    const text = (piece.startsWith('/') ? 'NAT' : '') + piece.repeat(LIMITS.signalText / piece.length - 1)
    const start = performance.now()
    expect((await decode({ text })).status).toBe(200)
    expect(performance.now() - start).toBeLessThan(10_000)
  })
})
