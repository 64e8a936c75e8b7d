/** x^16 + x^15 + x^2 + 1 with its bits reversed. */
const REVERSED_POLYNOMIAL = 0xa001

const TABLE = Uint16Array.from({ length: 256 }, (_, byte) => {
  let remainder = byte
  for (let bit = 0; bit < 8; bit++)
    remainder = remainder & 1 ? (remainder >>> 1) ^ REVERSED_POLYNOMIAL : remainder >>> 1
  return remainder
})

/**
 * CRC-16/ARC of bytes: start 0, bits reversed in and out, no final exclusive or.
 *
 * @param bytes - as sent, never as decoded text
 * @returns 0 to 65535
 * @source dc-09 2013, settled by published frames; check value of "123456789" is BB3D
 * @example crc16Arc(new TextEncoder().encode('123456789')) // 0xbb3d
 */
export function crc16Arc(bytes: Uint8Array): number {
  return bytes.reduce((remainder, byte) => (remainder >>> 8) ^ TABLE[(remainder ^ byte) & 0xff]!, 0)
}
