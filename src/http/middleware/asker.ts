import type { FairUse } from '../../services/fair-use.ts'
import type { KeyHolder, ShopPort } from '../env.ts'
import { KEY_QUOTAS } from '../limits.ts'
import type { Quota } from '../rate-fields.ts'

/** What is left to who asks. */
export interface Allowance {
  isWithin: boolean
  quotas: readonly Quota[]
}
/** Counts the requests of who asks; undefined where nobody can count in time, which lets pass. */
export interface Asker {
  countOne: () => Promise<Allowance | undefined>
  /** Counts so many more, all or none. */
  countFurther: (requests: number) => Promise<Allowance | undefined>
}

/** A count waits no longer than this for the database: reads go on while another writer holds it. */
const COUNTS_WITHIN_MS = 500
function inTime<T>(work: Promise<T>): Promise<T | undefined> {
  let timer: ReturnType<typeof setTimeout> | undefined
  const late = new Promise<undefined>((resolve) => {
    timer = setTimeout(() => resolve(undefined), COUNTS_WITHIN_MS)
  })
  const soon = work.catch(() => undefined)
  return Promise.race([soon, late]).finally(() => clearTimeout(timer))
}

interface Count {
  count: number
  endsInS: number
}
const { minute: MINUTE_LIMIT, day: DAY_LIMIT } = KEY_QUOTAS

function keyQuotas({ minute, day }: { minute: Count; day: Count }): Quota[] {
  const quota = (name: string, limit: number, windowS: number, { count, endsInS }: Count) =>
    ({ name, limit, windowS, remaining: Math.max(0, limit - count), endsInS }) satisfies Quota
  return [quota('key-minute', MINUTE_LIMIT, 60, minute), quota('key-day', DAY_LIMIT, 86_400, day)]
}

/** The holder of a key, counted exactly; undefined for one whose key has no id. */
export function byKey({ id, shop, lastUsedAt = 0 }: KeyHolder, { keys }: ShopPort): Asker | undefined {
  if (id === undefined) return undefined
  return {
    countOne: async () => {
      const used = await inTime(keys.count({ id, shop, lastUsedAt }, MINUTE_LIMIT))
      if (!used) return undefined
      const isWithin = used.minute.count <= MINUTE_LIMIT && used.day.count <= DAY_LIMIT
      return { isWithin, quotas: keyQuotas(used) }
    },
    countFurther: async (requests) => {
      const used = await inTime(keys.take({ id, shop }, requests, KEY_QUOTAS))
      return used && { isWithin: used.isTaken, quotas: keyQuotas(used) }
    },
  }
}

/** The place that a request without a key comes from, counted approximately. */
export function byAddress(fairUse: FairUse, address: string): Asker {
  const { limit, windowS } = fairUse
  const count = async (requests: number): Promise<Allowance> => {
    const { isWithin, remaining, endsInS } = await fairUse.count(address, requests)
    const left = remaining ?? (isWithin ? undefined : 0)
    return { isWithin, quotas: [{ name: 'fair-use', limit, windowS, remaining: left, endsInS }] }
  }
  return { countOne: () => count(1), countFurther: (requests) => count(requests) }
}
