import type { Database } from '../store/database.ts'
import { countAdmins, findKey, insertKeyWithin, replaceKey, revokeKey } from '../store/keys.ts'
import { drawKey, type Issued, isInForce, type NewKey, type Scope } from './keys.ts'

/** Most keys of a shop that are in force at once. */
export const MOST_KEYS = 50

/** Makes a further key of a shop; undefined when it has as many as it may. */
export async function issueKey(database: Database, asked: NewKey, now: number): Promise<Issued | undefined> {
  const issued = await drawKey(asked, now)
  return (await insertKeyWithin(database, issued.stored, MOST_KEYS)) ? issued : undefined
}

export interface Rotation {
  shopId: string
  id: string
  /** How long the old key stays valid beside the new one. */
  overlapMs: number
  /** End of the new key; when left out it lives as long as the old one was meant to. */
  expiresAt?: number | undefined
}

/** Puts a new key of the same label and scopes in the place of one. */
export async function rotateKey(
  database: Database,
  { shopId, id, overlapMs, expiresAt }: Rotation,
  now: number,
): Promise<(Issued & { oldEndsAt: number }) | 'absent' | 'not-in-force'> {
  const old = await findKey(database, shopId, id)
  if (!old) return 'absent'
  if (!isInForce(old, now) || old.replacedBy !== null) return 'not-in-force'
  const asLong = old.expiresAt === null ? undefined : now + (old.expiresAt - old.createdAt)
  const asked = { shopId, scopes: old.scopes as Scope[], label: old.label ?? undefined }
  const issued = await drawKey({ ...asked, expiresAt: expiresAt ?? asLong }, now)
  const oldEndsAt = Math.min(old.expiresAt ?? Number.POSITIVE_INFINITY, now + overlapMs)
  const isDone = await replaceKey(database, id, issued.stored, oldEndsAt)
  return isDone ? { ...issued, oldEndsAt } : 'not-in-force'
}

export type Revocation = { shopId: string; id: string; now: number; mayLockOut: boolean }

/** Ends a key at once; the last admin key only when that is wanted. Doing so again changes nothing. */
export async function endKey(database: Database, asked: Revocation): Promise<'absent' | 'last-admin' | 'ended'> {
  const { shopId, id } = asked
  const old = await findKey(database, shopId, id)
  if (!old) return 'absent'
  if (old.revokedAt !== null || (await revokeKey(database, asked))) return 'ended'
  return (await findKey(database, shopId, id))?.revokedAt === null ? 'last-admin' : 'ended'
}

export const adminsLeft = countAdmins
