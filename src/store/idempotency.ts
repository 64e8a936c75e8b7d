import type { InStatement } from '@libsql/client'
import { and, eq, gte } from 'drizzle-orm'
import type { Database } from './database.ts'
import { idempotencyKeys } from './schema/idempotency.ts'

/** How long a key is remembered. Longer than any client keeps trying. */
export const KEY_LIFE_MS = 48 * 3_600_000

export interface Claim {
  key: string
  /** SHA-256 of method, path and body. */
  requestHash: string
}

/** What was made under a key that is still remembered; undefined when nothing was. */
export async function findClaim({ orm }: Database, shopId: string, key: string, now: number) {
  const mine = and(eq(idempotencyKeys.shopId, shopId), eq(idempotencyKeys.key, key))
  const young = gte(idempotencyKeys.createdAt, now - KEY_LIFE_MS)
  const { requestHash, responseRef } = idempotencyKeys
  const [row] = await orm.select({ requestHash, responseRef }).from(idempotencyKeys).where(and(mine, young)).limit(1)
  return row
}

/**
 * Statements that take a key for what the same batch makes; put them first into it. A key that is taken already breaks
 * the batch, so that of two equal requests at the same moment one makes nothing.
 */
export function claimStatements(shopId: string, claim: Claim, responseRef: string, now: number): InStatement[] {
  return [
    {
      sql: 'delete from idempotency_keys where shop_id = ? and created_at < ?',
      args: [shopId, now - KEY_LIFE_MS],
    },
    {
      sql: 'insert into idempotency_keys (shop_id, key, request_hash, response_ref, created_at) values (?, ?, ?, ?, ?)',
      args: [shopId, claim.key, claim.requestHash, responseRef, now],
    },
  ]
}

/** Whether a batch was refused because a row it was to add is there already, or the one it builds on is not. */
export function isConstraint(error: unknown): boolean {
  const { code } = error as { code?: unknown }
  return typeof code === 'string' && code.startsWith('SQLITE_CONSTRAINT')
}
