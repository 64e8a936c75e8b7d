/** Characters of the bytes 80 to 9F; the five that the code page leaves free stand for themselves. */
const HIGH =
  '\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f' +
  '\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178'
const FIRST_HIGH = 0x80

/** One character a byte, of the same number: patterns can then be matched against bytes. */
export function binaryText(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += String.fromCharCode(byte)
  return text
}

/** Bytes of a text with one character a byte. */
export function binaryBytes(text: string): Uint8Array {
  return Uint8Array.from(text, (character) => character.charCodeAt(0))
}

/**
 * Text of bytes given as one character each.
 *
 * @source code page 1252, from memory; agrees with the platform's decoder
 * @example windows1252Text('\x80') // '€'
 */
export function windows1252Text(binary: string): string {
  return binary.replace(/[\x80-\x9f]/g, (character) => HIGH[character.charCodeAt(0) - FIRST_HIGH]!)
}

function byteOf(character: string): number | undefined {
  const at = HIGH.indexOf(character)
  if (at >= 0) return FIRST_HIGH + at
  const number = character.charCodeAt(0)
  return number <= 0xff ? number : undefined
}

/** Bytes of a text in this code page; undefined when it has a character that the page lacks. */
export function windows1252Bytes(text: string): Uint8Array | undefined {
  const bytes = new Uint8Array(text.length)
  for (let at = 0; at < text.length; at++) {
    const byte = byteOf(text[at]!)
    if (byte === undefined) return undefined
    bytes[at] = byte
  }
  return bytes
}
