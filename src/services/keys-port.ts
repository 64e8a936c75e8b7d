import type { Database } from '../store/database.ts'
import { countUse, takeUse } from '../store/key-usage.ts'
import { findKey, listKeys } from '../store/keys.ts'
import { identifyKey, type NewKey } from './keys.ts'
import { adminsLeft, endKey, issueKey, type Revocation, type Rotation, rotateKey } from './manage-keys.ts'

/** How old the time of a key's last use may grow before it is written again. */
const TOUCH_AFTER_MS = 3_600_000

/** The keys of shops over a database; time enters here. */
export function keysPort(database: Database) {
  return {
    /** Whose key this is; undefined unless it is in force. */
    holderOf: async (key: string) => {
      const stored = await identifyKey(database, key, Date.now())
      if (!stored) return undefined
      const { id, shopId: shop, scopes, lastUsedAt } = stored
      return { id, shop, scopes, lastUsedAt: lastUsedAt ?? 0 }
    },
    /** Counts one request of a key; returns how many there were in this minute and this day. */
    count: (key: { id: string; shop: string; lastUsedAt: number }, minuteLimit: number) => {
      const now = Date.now()
      const touches = now - key.lastUsedAt >= TOUCH_AFTER_MS
      return countUse(database, { shopId: key.shop, keyId: key.id, now, minuteLimit, touches })
    },
    /** Counts further requests of a key, all or none: none where its minute or its day has no room for all. */
    take: (
      key: { id: string; shop: string },
      requests: number,
      { minute: minuteLimit, day: dayLimit }: { minute: number; day: number },
    ) => takeUse(database, { shopId: key.shop, keyId: key.id, now: Date.now(), requests, minuteLimit, dayLimit }),
    list: (shop: string, offset: number, limit: number) => listKeys(database, shop, offset, limit),
    read: (shop: string, id: string) => findKey(database, shop, id),
    issue: (asked: NewKey) => issueKey(database, asked, Date.now()),
    rotate: (asked: Rotation) => rotateKey(database, asked, Date.now()),
    revoke: (asked: Omit<Revocation, 'now'>) => endKey(database, { ...asked, now: Date.now() }),
    adminsLeft: (shop: string) => adminsLeft(database, shop, Date.now()),
  }
}
export type KeysPort = ReturnType<typeof keysPort>
