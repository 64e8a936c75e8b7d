import { networkOf } from './network-of.ts'
import { sha256Base64 } from './sha256.ts'

export interface FairUseCount {
  isWithin: boolean
  /** Absent where the host only says yes or no. */
  remaining?: number
  endsInS?: number
}
/** What anybody may ask without a key, counted approximately by where it comes from. */
export interface FairUse {
  limit: number
  windowS: number
  /** Counts so many requests, one when left out, where there is room for all of them; a host that only says yes or no counts those that fit. */
  count: (address: string, requests?: number) => Promise<FairUseCount>
}

/** The limit without a key, in wrangler.toml too. */
export const FAIR_USE = { limit: 300, windowS: 60 } as const

const DAY_MS = 86_400_000
/** As much of a hash as tells addresses apart. */
const NAME_BYTES = 15
/** Places counted in memory at once; those beyond it are let through, so that a crowd shuts nobody out. */
const MOST_PLACES = 100_000

export interface FairUseOptions {
  now: () => number
  /** Makes the hashes of one deployment its own; drawn when left out. */
  salt?: string | undefined
  limit?: number
}

/** Turns an address into a word that names it for one day and leads back to nobody. */
export function dailyName({ now, salt = crypto.randomUUID() }: FairUseOptions) {
  return async (address: string): Promise<string> => {
    return sha256Base64(`${salt} ${Math.floor(now() / DAY_MS)} ${networkOf(address)}`, NAME_BYTES)
  }
}

/** Counts in the memory of one process, from one whole minute to the next. */
export function memoryFairUse(options: FairUseOptions): FairUse {
  const { now, limit = FAIR_USE.limit } = options
  const nameOf = dailyName(options)
  const windowMs = FAIR_USE.windowS * 1000
  let window = -1
  let counts = new Map<string, number>()
  return {
    limit,
    windowS: FAIR_USE.windowS,
    count: async (address, requests = 1) => {
      const name = await nameOf(address)
      const at = now()
      if (Math.floor(at / windowMs) !== window) {
        window = Math.floor(at / windowMs)
        counts = new Map()
      }
      const before = counts.get(name) ?? 0
      const isWithin = before + requests <= limit
      const count = isWithin ? before + requests : before
      if (before > 0 || counts.size < MOST_PLACES) counts.set(name, count)
      const endsInS = Math.ceil((windowMs - (at % windowMs)) / 1000)
      return { isWithin, remaining: limit - count, endsInS }
    },
  }
}

/** The limiter that an edge platform binds: it says only whether there is room. */
export interface LimiterBinding {
  limit: (options: { key: string }) => Promise<{ success: boolean }>
}

/** Counts with the platform's limiter, whose numbers stand in its configuration; it takes one request a question. */
export function boundFairUse(binding: LimiterBinding, options: FairUseOptions): FairUse {
  const nameOf = dailyName(options)
  return {
    ...FAIR_USE,
    count: async (address, requests = 1) => {
      const key = await nameOf(address)
      const answers = await Promise.all(Array.from({ length: requests }, () => binding.limit({ key })))
      return { isWithin: answers.every(({ success }) => success) }
    },
  }
}
