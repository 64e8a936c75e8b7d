import { createCipheriv } from 'node:crypto'
import { readFileSync } from 'node:fs'
import fc from 'fast-check'

/** A worked signal with where it was printed, or the rule it follows from. */
export interface SignalVector {
  id: string
  given: Record<string, any>
  expected: Record<string, any>
  kind: string
  note?: string
}
export const VECTORS = JSON.parse(readFileSync('tests/reference/signals/vectors.json', 'utf8')) as Record<
  'dc05' | 'dc09' | 'dc03' | 'lookup',
  SignalVector[]
>

/** Most significant bit first, with every byte and the result turned about: another way than a table of the turned polynomial. */
export function crcBitByBit(bytes: Iterable<number>): number {
  const turn = (value: number, width: number) =>
    Number.parseInt([...value.toString(2).padStart(width, '0')].reverse().join(''), 2)
  let register = 0
  for (const byte of bytes) {
    register ^= turn(byte, 8) << 8
    for (let bit = 0; bit < 8; bit++) register = ((register << 1) ^ (register & 0x8000 ? 0x8005 : 0)) & 0xffff
  }
  return turn(register, 16)
}

/** Sixteen digits: the check digit is searched for, so that the sum of all weights comes to a multiple of fifteen. */
export function encodeDc05(fifteen: string): string {
  const weight = (digit: string) => (digit === '0' ? 10 : Number.parseInt(digit, 16))
  const sum = [...fifteen].reduce((total, digit) => total + weight(digit), 0)
  return fifteen + [...'0123456789BCDEF'].find((digit) => (sum + weight(digit)) % 15 === 0)!
}

/** A block with odd parity down each column. */
export function encodeDc03(functionCode: string, data: string): Uint8Array {
  const bytes = Buffer.from(`${String.fromCharCode(0x40 + data.length)}${functionCode}${data}`, 'latin1')
  const parity = [0, 1, 2, 3, 4, 5, 6, 7].reduce((byte, bit) => {
    const ones = [...bytes].filter((value) => (value >> bit) & 1).length
    return byte + (ones % 2 === 0 ? 2 ** bit : 0)
  }, 0)
  return Uint8Array.from([...bytes, parity])
}
export const spaced = (bytes: Uint8Array) => [...bytes].map((byte) => hex(byte, 2)).join(' ')

const hex = (value: number, width: number) => value.toString(16).toUpperCase().padStart(width, '0')

/** Puts CRC and length before what stands from the first quote on. */
export function frame(body: string, { crc, length }: { crc?: string; length?: string } = {}): string {
  const bytes = Buffer.from(body, 'latin1')
  return `\n${crc ?? hex(crcBitByBit(bytes), 4)}${length ?? hex(bytes.length, 4)}${body}\r`
}

/** Enciphers what stands after the opening bracket; the pad brings it to whole blocks, and is never empty. */
export function sealed(head: string, content: string, key: Uint8Array): string {
  const size = Buffer.from(content, 'latin1').length + 1
  const pad = 'x'.repeat(16 - (size % 16))
  return sealedRaw(head, `${pad}|${content}`, key)
}
export function sealedRaw(head: string, plain: string, key: Uint8Array): string {
  const cipher = createCipheriv(`aes-${key.length * 8}-cbc`, key, Buffer.alloc(16)).setAutoPadding(false)
  const bytes = Buffer.concat([cipher.update(Buffer.from(plain, 'latin1')), cipher.final()])
  return frame(`${head}[${bytes.toString('hex').toUpperCase()}`)
}

export const bytesOf = (text: string) => Uint8Array.from(Buffer.from(text, 'latin1'))

const string = (characters: string, minLength: number, maxLength = minLength) =>
  fc.string({ unit: fc.constantFrom(...characters), minLength, maxLength })
const HEX = '0123456789ABCDEF'
export const dc05Digits = (length: number) => string('0123456789BCDEF', length)

/** The first fifteen digits of a message. */
export const messages = fc
  .record({
    account: dc05Digits(4),
    messageType: fc.constantFrom('18', '98'),
    qualifier: fc.constantFrom('1', '3', '6'),
    eventCode: dc05Digits(3),
    group: dc05Digits(2),
    point: dc05Digits(3),
  })
  .map((fields) => ({ fields, fifteen: Object.values(fields).join('') }))

export const moments = fc
  .date({ min: new Date('2000-01-01'), max: new Date('2099-12-31'), noInvalidDate: true })
  .map((date) => `${date.toISOString().slice(0, 19)}Z`)
export const stampOf = (moment: string) =>
  `${moment.slice(11, 19)},${moment.slice(5, 7)}-${moment.slice(8, 10)}-${moment.slice(0, 4)}`

/** Fields of a frame with an event of DC-05. */
export const frames = fc.record({
  sequence: fc.integer({ min: 1, max: 9999 }).map((number) => String(number).padStart(4, '0')),
  receiver: fc.option(string(HEX, 1, 6), { nil: undefined }),
  linePrefix: string(HEX, 1, 6),
  account: string(HEX, 3, 16),
  qualifier: fc.constantFrom('1', '3', '6'),
  eventCode: dc05Digits(3),
  group: dc05Digits(2),
  point: dc05Digits(3),
  timestamp: moments,
  extended: fc.array(
    fc.record({ letter: string('ACHIJKLMNOPRSTVXYZ', 1), text: string('abc 0:/.\u00fc\u00df', 0, 12) }),
    { maxLength: 3 },
  ),
})
export type FrameFields = typeof frames extends fc.Arbitrary<infer F> ? F : never

export function partsOf(fields: FrameFields): { head: string; content: string } {
  const { sequence, receiver, linePrefix, account, qualifier, eventCode, group, point, timestamp, extended } = fields
  const place = `${receiver === undefined ? '' : `R${receiver}`}L${linePrefix}#${account}`
  const blocks = extended.map(({ letter, text }) => `[${letter}${text}]`).join('')
  return {
    head: `${sequence}${place}`,
    content: `#${account}|${qualifier}${eventCode} ${group} ${point}]${blocks}_${stampOf(timestamp)}`,
  }
}
