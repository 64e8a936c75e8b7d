import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { columnParity, decodeDc03Blocks } from '../../../src/domain/signals/dc03-block.ts'
import { readDc03Codes } from '../../../src/domain/signals/dc03-data.ts'
import { decode } from '../../../src/domain/signals/remarks.ts'
import { encodeDc03, VECTORS } from '../../support/signals.ts'

const ofHex = (hex: string) => Uint8Array.from(hex.split(' '), (pair) => Number.parseInt(pair, 16))
const codesOf = (data: string) => decode(true, (remarks) => readDc03Codes(data, remarks))

describe('a worked block', () => {
  test.each(VECTORS.dc03.filter(({ expected }) => expected.isValid))('$id is read in full', ({ given, expected }) => {
    const { isValid: _valid, parityHex, area, time, events, ...fields } = expected
    const parity = Number.parseInt(parityHex, 16)
    const decoded = decodeDc03Blocks(ofHex(given.bytesHex), true)
    expect(decoded).toMatchObject({ ok: true, value: [{ ...fields, parity }], problems: [] })
    if (events === undefined) return
    const codes = codesOf(fields.data)
    expect(codes).toMatchObject({ ok: true })
    const found = codes.ok ? codes.value : []
    expect(found.map(({ code, address }) => ({ code, address: address ?? null }))).toEqual(events)
    expect([found[0]!.modifiers.ri, found[0]!.modifiers.ti]).toEqual([area, time])
  })

  test.each(VECTORS.dc03.filter(({ expected }) => !expected.isValid))('$id is refused', ({ given, expected }) => {
    for (const isStrict of [true, false])
      expect(decodeDc03Blocks(ofHex(given.bytesHex), isStrict)).toMatchObject({ problem: { code: expected.error } })
  })
})

const blocks = fc.record({
  functionCode: fc.constantFrom(...'#NOA0189'),
  data: fc.uint8Array({ maxLength: 63 }).map((bytes) => Buffer.from(bytes).toString('latin1')),
})

test('blocks that are sent are the blocks that are read', () => {
  fc.assert(
    fc.property(fc.array(blocks, { minLength: 1, maxLength: 5 }), (sent) => {
      const bytes = Buffer.concat(sent.map(({ functionCode, data }) => encodeDc03(functionCode, data)))
      const decoded = decodeDc03Blocks(bytes, true)
      expect(decoded).toMatchObject({ ok: true, value: sent })
    }),
  )
})

test('the columns of a whole block hold an odd number of ones', () => {
  fc.assert(
    fc.property(fc.uint8Array({ minLength: 1, maxLength: 66 }), (bytes) => {
      const all = [...bytes, columnParity(bytes)]
      for (let bit = 0; bit < 8; bit++) expect(all.filter((byte) => (byte >> bit) & 1).length % 2).toBe(1)
    }),
  )
})

test('a block that ends too early is refused by its length', () => {
  const bytes = encodeDc03('N', 'ri1/AT00')
  for (let end = 0; end < bytes.length; end++)
    expect(decodeDc03Blocks(bytes.subarray(0, end), false)).toMatchObject({ ok: false, problem: { code: 'LENGTH' } })
})

test('a function that is not known is kept and noted', () => {
  const decoded = decodeDc03Blocks(encodeDc03('q', ''), false)
  expect(decoded).toMatchObject({ ok: true, value: [{ functionCode: 'q' }], problems: [{ code: 'FUNCTION' }] })
})

describe('the data of an event', () => {
  test('holds several codes, each under the modifiers before it', () => {
    expect(codesOf('ti14:05/BT1/ri2/AT')).toMatchObject({
      value: [
        { code: 'BT', address: '1', modifiers: { ti: '14:05' } },
        { code: 'AT', modifiers: { ti: '14:05', ri: '2' } },
      ],
    })
  })

  test('may ask to listen in, which is no event', () => {
    expect(codesOf('L60')).toMatchObject({ ok: true, value: [], problems: [{ code: 'LISTEN_IN' }] })
  })

  test.each(['', 'AT/', 'at00', 'A', 'ATB', 'AT00x', 'ri1', 'XT12 '])('is refused as %j', (data) => {
    expect(codesOf(data)).toMatchObject({ ok: false, problem: { code: 'DATA' } })
  })
})
