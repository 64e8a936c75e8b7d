import fc from 'fast-check'
import { expect, test } from 'vitest'
import { crc16Arc } from '../../../src/domain/signals/crc16-arc.ts'
import { windows1252Bytes, windows1252Text } from '../../../src/domain/signals/windows-1252.ts'
import { bytesOf, crcBitByBit } from '../../support/signals.ts'

test('the check value of 123456789 is BB3D, by the table and bit by bit', () => {
  expect(crc16Arc(bytesOf('123456789'))).toBe(0xbb3d)
  expect(crcBitByBit(bytesOf('123456789'))).toBe(0xbb3d)
})

test('the table gives what the division bit by bit gives', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 200 }), (bytes) => {
      expect(crc16Arc(bytes)).toBe(crcBitByBit(bytes))
    }),
    { numRuns: 2000 },
  )
})

test('a CRC set low byte first behind its bytes leaves nothing', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 100 }), (bytes) => {
      const crc = crc16Arc(bytes)
      expect(crc16Arc(Uint8Array.of(...bytes, crc & 0xff, crc >> 8))).toBe(0)
    }),
  )
})

test('every byte has the character that the platform gives it, and back', () => {
  const platform = new TextDecoder('windows-1252')
  for (let byte = 0; byte < 256; byte++) {
    const character = windows1252Text(String.fromCharCode(byte))
    expect(character).toBe(platform.decode(Uint8Array.of(byte)))
    expect(windows1252Bytes(character)).toEqual(Uint8Array.of(byte))
  }
})

test('a character that the code page lacks has no byte', () => {
  expect(windows1252Bytes('caf\u00e9 \u4e2d')).toBeUndefined()
})
