import type { Database } from '../store/database.ts'
import { insertKey, keysWithPrefix, type StoredKey } from '../store/keys.ts'
import { isSameHash, isWellFormed, newKey, newKeyId, prefixOf } from './key-form.ts'
import { sha256Hex } from './sha256.ts'

export const SCOPES = ['calls', 'catalogue', 'profiles', 'overlays', 'admin'] as const
export type Scope = (typeof SCOPES)[number]

export interface NewKey {
  shopId: string
  scopes: readonly Scope[]
  label?: string | undefined
  /** Milliseconds since 1970-01-01T00:00Z; for ever when left out. */
  expiresAt?: number | undefined
}
/** A key as it is stored, and the key itself, which is nowhere else. */
export interface Issued {
  key: string
  stored: StoredKey
}

/** Draws a key; nothing is stored yet. */
export async function drawKey({ shopId, scopes, label, expiresAt }: NewKey, now: number): Promise<Issued> {
  const key = await newKey()
  const stored: StoredKey = {
    id: newKeyId(),
    hash: await sha256Hex(key),
    shopId,
    prefix: prefixOf(key),
    label: label ?? null,
    scopes: [...scopes],
    createdAt: now,
    expiresAt: expiresAt ?? null,
    revokedAt: null,
    lastUsedAt: null,
    replacedBy: null,
  }
  return { key, stored }
}

/** Makes a key for a shop, and the shop when it is new. */
export async function firstKey(database: Database, asked: NewKey, now: number): Promise<Issued> {
  const issued = await drawKey(asked, now)
  await insertKey(database, issued.stored)
  return issued
}

/** Makes a key for a shop, and the shop when it is new; the key is in the answer and nowhere else. */
export async function createKey(
  database: Database,
  shopId: string,
  scopes: readonly Scope[],
  now: number,
): Promise<string> {
  return (await firstKey(database, { shopId, scopes }, now)).key
}

export const isInForce = ({ revokedAt, expiresAt }: StoredKey, now: number) =>
  revokedAt === null && (expiresAt === null || expiresAt > now)

/**
 * The stored key behind a presented one that is in force; undefined for any other. Rows are found by the public beginning
 * and compared by hash in constant time.
 */
export async function identifyKey(database: Database, key: string, now: number): Promise<StoredKey | undefined> {
  if (!(await isWellFormed(key))) return undefined
  const hash = await sha256Hex(key)
  let found: StoredKey | undefined
  for (const row of await keysWithPrefix(database, prefixOf(key))) if (isSameHash(row.hash, hash)) found = row
  return found && isInForce(found, now) ? found : undefined
}

/** The shop and scopes of a key that is in force; undefined for any other. */
export async function verifyKey(
  database: Database,
  key: string,
  now: number,
): Promise<{ shop: string; scopes: string[] } | undefined> {
  const stored = await identifyKey(database, key, now)
  return stored && { shop: stored.shopId, scopes: stored.scopes }
}
