import { decode, problemOf, type Remarks, refuse } from './remarks.ts'
import type { Decoded } from './signal-event.ts'
import { binaryText } from './windows-1252.ts'

/** Header, function and parity. */
const FRAME_BYTES = 3
const LENGTH_BITS = 0x3f
const ACKNOWLEDGE_BIT = 0x40
const REVERSE_BIT = 0x80
const ODD_PARITY = 0xff

const MEANINGS: Readonly<Record<string, string>> = {
  '#': 'account identification',
  N: 'new event',
  O: 'old event',
  A: 'text',
  '0': 'end of data',
  '1': 'wait',
  '8': 'acknowledge',
  '9': 'reject',
}

/** What a block says, whether it came in its binary frame or as text. */
export interface Dc03Content {
  functionCode: string
  data: string
}
export interface Dc03Block extends Dc03Content {
  /** Bytes of data. */
  length: number
  isAcknowledgeRequested: boolean
  isReverseChannel: boolean
  parity: number
  /** Undefined for a function that is not known. */
  meaning?: string
}

/**
 * Column parity of bytes: the byte that brings the number of ones in each column to odd.
 *
 * parity = 0xFF xor every byte
 *
 * @param bytes - header, function and data
 * @source dc-03 1990.01, as one public description of a serial variant has it (not read in the standard)
 * @example columnParity(Uint8Array.of(0x40, 0x38)) // 0x87
 */
export function columnParity(bytes: Uint8Array): number {
  return bytes.reduce((parity, byte) => parity ^ byte, ODD_PARITY)
}

function readBlock(bytes: Uint8Array, remarks: Remarks): Dc03Block {
  if (bytes.length < FRAME_BYTES)
    refuse(problemOf('LENGTH', 'bytes of a block', `at least ${FRAME_BYTES}`, bytes.length))
  const header = bytes[0]!
  const length = header & LENGTH_BITS
  const due = length + FRAME_BYTES
  if (bytes.length < due) refuse(problemOf('LENGTH', 'bytes of the block', due, bytes.length))
  const parity = bytes[due - 1]!
  const dueParity = columnParity(bytes.subarray(0, due - 1))
  if (parity !== dueParity) refuse(problemOf('PARITY', 'parity', hexByte(dueParity), hexByte(parity)))
  const functionCode = binaryText(bytes.subarray(1, 2))
  const meaning = MEANINGS[functionCode]
  if (meaning === undefined)
    remarks.note(problemOf('FUNCTION', 'function', Object.keys(MEANINGS).join(' '), functionCode))
  return {
    length,
    isAcknowledgeRequested: (header & ACKNOWLEDGE_BIT) !== 0,
    isReverseChannel: (header & REVERSE_BIT) !== 0,
    functionCode,
    data: binaryText(bytes.subarray(2, due - 1)),
    parity,
    ...(meaning === undefined ? {} : { meaning }),
  }
}

const hexByte = (byte: number) => byte.toString(16).toUpperCase().padStart(2, '0')

/** Blocks that follow one another without a gap; their data keeps one character a byte. */
export function readDc03Blocks(bytes: Uint8Array, remarks: Remarks): Dc03Block[] {
  const blocks: Dc03Block[] = []
  let at = 0
  do {
    const block = readBlock(bytes.subarray(at), remarks)
    blocks.push(block)
    at += block.length + FRAME_BYTES
  } while (at < bytes.length)
  return blocks
}

/**
 * Blocks in their binary frame: header, function, 0 to 63 bytes of data, parity.
 *
 * header = bits 0-5 length of the data, bit 6 acknowledge wanted, bit 7 reverse channel
 *
 * @param bytes - whole blocks, one after another
 * @returns the blocks, or the first of LENGTH and PARITY that is wrong
 * @source dc-03 1990.01; bits 6 and 7 from memory
 * @example decodeDc03Blocks(Uint8Array.of(0x40, 0x38, 0x87), true) // an acknowledge
 */
export function decodeDc03Blocks(bytes: Uint8Array, isStrict: boolean): Decoded<Dc03Block[]> {
  return decode(isStrict, (remarks) => readDc03Blocks(bytes, remarks))
}
