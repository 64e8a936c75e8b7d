import fc from 'fast-check'
import { expect, test } from 'vitest'
import { decodeDc03Blocks } from '../../../src/domain/signals/dc03-block.ts'
import { decodeDc05Message } from '../../../src/domain/signals/dc05.ts'
import { decodeDc09Frame } from '../../../src/domain/signals/dc09-frame.ts'
import { fuzzSignals } from '../../../src/tools/fuzz-signals.ts'
import { encodeDc03, encodeDc05, frame, frames, messages, partsOf } from '../../support/signals.ts'

const RUNS = 100_000

test(`${RUNS} damaged signals are read or refused, and nothing is thrown`, () => {
  const { runs, read, refused, slowestMs } = fuzzSignals(RUNS, 20_261_125)
  console.info(`fuzzed signals: ${JSON.stringify({ runs, read, refused, slowestMs })}`)
  expect(read + Object.values(refused).reduce((sum, count) => sum + count, 0)).toBe(runs)
  // Both outcomes are met, and the damage reaches every stage.
  expect(read).toBeGreaterThan(RUNS / 100)
  for (const code of ['CRC', 'FORMAT', 'HEADER', 'CONTENT', 'DATA', 'CHECKSUM', 'LENGTH', 'PARITY', 'DECRYPTION'])
    expect(refused[code] ?? 0, code).toBeGreaterThan(0)
})

test('a signal cut anywhere is refused', () => {
  fc.assert(
    fc.property(messages, frames, ({ fifteen }, fields) => {
      const { head, content } = partsOf(fields)
      const bytes = Buffer.from(frame(`"ADM-CID"${head}[${content}`), 'latin1')
      // Without its carriage return alone it is still whole.
      for (let end = 0; end < bytes.length - 1; end++)
        expect(decodeDc09Frame(bytes.subarray(0, end), false).ok, `${end}`).toBe(false)
      const message = encodeDc05(fifteen)
      for (let end = 0; end < 16; end++) expect(decodeDc05Message(message.slice(0, end), false).ok).toBe(false)
      const block = encodeDc03('N', 'ri1/XT12')
      for (let end = 0; end < block.length; end++)
        expect(decodeDc03Blocks(block.subarray(0, end), false).ok).toBe(false)
    }),
    { numRuns: 200 },
  )
})
