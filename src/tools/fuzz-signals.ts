import { crc16Arc } from '../domain/signals/crc16-arc.ts'
import { columnParity } from '../domain/signals/dc03-block.ts'
import { checkDigit } from '../domain/signals/dc05-check-digit.ts'
import { decodeDc09Content } from '../domain/signals/dc09-content.ts'
import { eventsOfFrame } from '../domain/signals/dc09-events.ts'
import { LINE_SCHEMES, type LineScheme } from '../domain/signals/line-form.ts'
import { type LineReading, readLine } from '../domain/signals/read-line.ts'
import type { CodeTable, Decoded } from '../domain/signals/signal-event.ts'
import { drawsFrom } from './cases/draws.ts'

/** Damages signals and reads them. Whatever is thrown ends the run: a bad signal is an expected outcome. */

export interface FuzzCounts {
  runs: number
  read: number
  /** By the code of the problem. */
  refused: Record<string, number>
  slowestMs: number
}

/** A whole number from 0 up to, and without, a limit. */
type Draw = (below: number) => number

const BODIES = [
  '"ADM-CID"0042R1L0#4321[#4321|1301 00 000]_03:15:20,02-28-2027',
  '"SIA-DCS"0007L0#4321[#4321|Nri1/XT12][ISensor 12][MD4A651F6DEAB]_23:59:59,12-31-2027',
  '"SIA-DCS"0001RF3L77#1234[#1234|NRR|Atest]',
  '"NULL"0000R0L0#1234[]',
  '"NAK"0000R0L0A0[]_16:20:01,09-24-2025',
  '"*ADM-CID"0100L0#8899[3CCBF5ED00EDC131C0A9924DC58C9D79',
]
const MESSAGES = ['123418130100000', '432198138401012', 'B0F218130201000']
const BLOCKS = ['#1234', 'Nri1/AT00', 'Nti14:05/XT012', 'OYT', '0', '8']
const OTHERS = ['[#4321|1301 00 000]', '1384 01 012', '#1234|Nri1/AT00', '2027-01-01T00:00:00Z 1234181301000006']
/** Characters that mean something to some format, and some that mean nothing. */
const CHARACTERS = '0123456789ABCDEF"[]|#/*_:,-RLN \0\r\n\t\u00fc\u20ac\ud800z'

const pick = <T>(list: ArrayLike<T>, draw: Draw): T => list[draw(list.length)]!
const bytesOf = (text: string) => Uint8Array.from(text, (character) => character.charCodeAt(0) & 0xff)
const hex = (number: number, width: number) => number.toString(16).toUpperCase().padStart(width, '0')

/** Changes, drops, doubles, inserts or cuts at some places. */
function damaged(text: string, times: number, draw: Draw): string {
  let result = text
  for (let time = 0; time < times; time++) {
    const at = draw(result.length + 1)
    const [before, after] = [result.slice(0, at), result.slice(at)]
    const ways = [
      () => before + pick(CHARACTERS, draw) + after.slice(1),
      () => before + after.slice(1),
      () => before + after.slice(0, draw(8)) + after,
      () => before + pick(CHARACTERS, draw) + after,
      () => before,
    ]
    result = pick(ways, draw)()
  }
  return result
}

/** Damage inside, below a right CRC, check digit or parity: it must pass the outer check to reach the inner ones. */
function sealedAfterDamage(draw: Draw): string {
  const kind = draw(3)
  if (kind === 0) {
    const body = damaged(pick(BODIES, draw), 1 + draw(2), draw)
    return `${hex(crc16Arc(bytesOf(body)), 4)}${hex(body.length, 4)}${body}`
  }
  if (kind === 1) {
    const digits = damaged(pick(MESSAGES, draw), 1, draw).replace(/[^0-9B-F]/g, '7')
    return digits.length === 15 ? digits + checkDigit(digits) : digits
  }
  const block = damaged(pick(BLOCKS, draw), 1 + draw(2), draw).slice(0, 64)
  const bytes = Uint8Array.of(0x40 + Math.max(block.length - 1, 0), ...bytesOf(block))
  return [...bytes, columnParity(bytes)].map((byte) => hex(byte, 2)).join(' ')
}

function damagedOutside(draw: Draw): string {
  const whole = [...OTHERS, ...MESSAGES.map((digits) => digits + checkDigit(digits))]
  for (const body of BODIES) whole.push(`${hex(crc16Arc(bytesOf(body)), 4)}${hex(body.length, 4)}${body}`)
  for (const block of BLOCKS) {
    const bytes = Uint8Array.of(0x40 + block.length - 1, ...bytesOf(block))
    whole.push([...bytes, columnParity(bytes)].map((byte) => hex(byte, 2)).join(' '))
  }
  return damaged(pick(whole, draw), draw(4), draw)
}

const noise = (draw: Draw) => Array.from({ length: draw(80) }, () => pick(CHARACTERS, draw)).join('')

const table: CodeTable = (_, code) => (code === '301' || code === 'AT' ? { isRestoral: false } : undefined)

/** The code of the problem, or undefined where all could be read. An encrypted frame is opened with noise as its plain text. */
function outcomeOf(reading: Decoded<LineReading>, isStrict: boolean, draw: Draw): string | undefined {
  if (!reading.ok) return reading.problem.code
  const { frame } = reading.value
  if (!frame) return undefined
  const plain = frame.isEncrypted
    ? bytesOf(draw(2) ? noise(draw) : `xx|#8899|1301 00 000]${noise(draw)}`)
    : frame.sealed
  const content = decodeDc09Content(frame, plain, isStrict)
  if (!content.ok) return content.problem.code
  const events = eventsOfFrame(frame, content.value, table, isStrict)
  return events.ok ? undefined : events.problem.code
}

/** Reads damaged signals; the same seed gives the same signals. */
export function fuzzSignals(runs: number, seed: number): FuzzCounts {
  const random = drawsFrom(seed)
  const draw: Draw = (below) => Math.floor(random() * below)
  const counts: FuzzCounts = { runs, read: 0, refused: {}, slowestMs: 0 }
  const makers = [sealedAfterDamage, sealedAfterDamage, damagedOutside, noise]
  for (let run = 0; run < runs; run++) {
    const line = pick(makers, draw)(draw)
    const scheme: LineScheme = draw(3) === 0 ? pick(LINE_SCHEMES, draw) : 'mixed'
    const isStrict = draw(2) === 0
    const start = performance.now()
    const code = outcomeOf(readLine(line, undefined, { scheme, isStrict, table }), isStrict, draw)
    counts.slowestMs = Math.max(counts.slowestMs, performance.now() - start)
    if (code === undefined) counts.read++
    else counts.refused[code] = (counts.refused[code] ?? 0) + 1
  }
  return counts
}

if (import.meta.main) {
  const runs = Number(process.argv[2] ?? 1_000_000)
  const start = performance.now()
  const { read, refused, slowestMs } = fuzzSignals(runs, 20_261_125)
  console.info(`${runs} damaged signals in ${((performance.now() - start) / 1000).toFixed(1)} s, none threw`)
  console.info(`read ${read}; slowest ${slowestMs.toFixed(2)} ms; refused by code:`)
  for (const [code, count] of Object.entries(refused).sort()) console.info(`  ${code} ${count}`)
}
