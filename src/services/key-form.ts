import { hex, sha256Hex } from './sha256.ts'

const ALPHABET = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz'
const SECRET_LENGTH = 40
const CHECK_LENGTH = 6
const PREFIX_LENGTH = 8
const FORM = new RegExp(`^ta_([0-9A-Za-z]{${SECRET_LENGTH}})_([0-9A-Za-z]{${CHECK_LENGTH}})$`)

/** First characters of a key: public, by which people tell keys apart. */
export const prefixOf = (key: string) => key.slice(0, PREFIX_LENGTH)

/** A name for a key, of no meaning. */
export const newKeyId = () => `key-${hex(crypto.getRandomValues(new Uint8Array(8)))}`

/** Letters drawn evenly: bytes over the last whole multiple of 62 are thrown away. */
function randomSecret(): string {
  const even = 256 - (256 % ALPHABET.length)
  let secret = ''
  while (secret.length < SECRET_LENGTH)
    for (const byte of crypto.getRandomValues(new Uint8Array(SECRET_LENGTH)))
      if (byte < even && secret.length < SECRET_LENGTH) secret += ALPHABET[byte % ALPHABET.length]
  return secret
}

/** Six letters by which a mistyped key is told from a wrong one without asking the database. */
async function checkOf(secret: string): Promise<string> {
  let rest = Number.parseInt((await sha256Hex(`check ${secret}`)).slice(0, 12), 16)
  let check = ''
  for (let index = 0; index < CHECK_LENGTH; index++) {
    check += ALPHABET[rest % ALPHABET.length]
    rest = Math.floor(rest / ALPHABET.length)
  }
  return check
}

/** A new key: prefix, random letters, check letters. */
export async function newKey(): Promise<string> {
  const secret = randomSecret()
  return `ta_${secret}_${await checkOf(secret)}`
}

/** Whether a text has the form of a key and its check letters fit. */
export async function isWellFormed(key: string): Promise<boolean> {
  const parts = FORM.exec(key)
  return parts !== null && (await checkOf(parts[1]!)) === parts[2]
}

/** Compares two hashes in a time that does not tell where they differ. */
export function isSameHash(a: string, b: string): boolean {
  let difference = a.length ^ b.length
  for (let index = 0; index < a.length; index++) difference |= a.charCodeAt(index) ^ b.charCodeAt(index)
  return difference === 0
}
