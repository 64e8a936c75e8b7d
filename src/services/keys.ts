import type { Database } from '../store/database.ts'
import { findKey, insertKey } from '../store/keys.ts'

const ALPHABET = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz'
const SECRET_LENGTH = 40
const CHECK_LENGTH = 6
const PREFIX_LENGTH = 8
const FORM = new RegExp(`^ta_([0-9A-Za-z]{${SECRET_LENGTH}})_([0-9A-Za-z]{${CHECK_LENGTH}})$`)

export const SCOPES = ['calls', 'catalogue', 'profiles', 'overlays', 'admin'] as const
export type Scope = (typeof SCOPES)[number]

async function sha256Hex(text: string): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text))
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('')
}

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
  const hex = await sha256Hex(`check ${secret}`)
  let rest = Number.parseInt(hex.slice(0, 12), 16)
  let check = ''
  for (let index = 0; index < CHECK_LENGTH; index++) {
    check += ALPHABET[rest % ALPHABET.length]
    rest = Math.floor(rest / ALPHABET.length)
  }
  return check
}

/** Makes a key for a shop, and the shop when it is new; the key is in the answer and nowhere else. */
export async function createKey(
  database: Database,
  shopId: string,
  scopes: readonly Scope[],
  now: number,
): Promise<string> {
  const secret = randomSecret()
  const key = `ta_${secret}_${await checkOf(secret)}`
  await insertKey(database, {
    hash: await sha256Hex(key),
    shopId,
    prefix: key.slice(0, PREFIX_LENGTH),
    scopes: [...scopes],
    createdAt: now,
    expiresAt: null,
    revokedAt: null,
  })
  return key
}

/** The shop and scopes of a key that is in force; undefined for any other. */
export async function verifyKey(
  database: Database,
  key: string,
  now: number,
): Promise<{ shop: string; scopes: string[] } | undefined> {
  const parts = FORM.exec(key)
  if (!parts || (await checkOf(parts[1]!)) !== parts[2]) return undefined
  const stored = await findKey(database, await sha256Hex(key))
  if (!stored || stored.revokedAt !== null) return undefined
  if (stored.expiresAt !== null && stored.expiresAt <= now) return undefined
  return { shop: stored.shopId, scopes: stored.scopes }
}
