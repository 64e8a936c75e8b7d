import type { Database } from '../store/database.ts'
import { type Claim, claimStatements, findClaim, isConstraint } from '../store/idempotency.ts'

export type { Claim } from '../store/idempotency.ts'
export { claimStatements, isConstraint } from '../store/idempotency.ts'

/** A key was sent before with another request. */
export class KeyReusedError extends Error {}

/**
 * What the same request made before; undefined when it is the first.
 * @throws KeyReusedError when another request was sent under the key
 */
export async function madeBefore(
  database: Database,
  shop: string,
  claim: Claim | undefined,
  now: number,
): Promise<string | undefined> {
  const known = claim && (await findClaim(database, shop, claim.key, now))
  if (known && known.requestHash !== claim.requestHash) throw new KeyReusedError(claim.key)
  return known?.responseRef
}

/**
 * Makes something once under a key: `make` writes it with the given statements first in its batch.
 * @returns the reference of what was made, now or before
 * @throws KeyReusedError when another request was sent under the key; what `make` throws
 */
export async function once(
  database: Database,
  { shop, claim, now }: { shop: string; claim: Claim | undefined; now: number },
  responseRef: string,
  make: (first: ReturnType<typeof claimStatements>) => Promise<unknown>,
): Promise<{ ref: string; isNew: boolean }> {
  const before = await madeBefore(database, shop, claim, now)
  if (before !== undefined) return { ref: before, isNew: false }
  try {
    await make(claim ? claimStatements(shop, claim, responseRef, now) : [])
    return { ref: responseRef, isNew: true }
  } catch (error) {
    // The same request may have won between the look and the write.
    const made = isConstraint(error) ? await madeBefore(database, shop, claim, now) : undefined
    if (made === undefined) throw error
    return { ref: made, isNew: false }
  }
}
