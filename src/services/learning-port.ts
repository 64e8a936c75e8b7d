import type { Release } from '../ontology/release.ts'
import type { Database } from '../store/database.ts'
import { newestPredictions } from '../store/learning-outcomes.ts'
import { readSettings, replaceSettings, type StoredSettings } from '../store/learning-settings.ts'
import { findRateSet } from '../store/rate-sets.ts'
import { CALIBRATION_CALLS, calibrationOf } from './learning/calibration-of-shop.ts'
import { currentSet, toKept } from './learning/current-set.ts'
import { factsOf } from './learning/facts.ts'

export type { StoredSettings } from '../store/learning-settings.ts'

/** What shops learned from their calls. */
export function learningPort(database: Database) {
  const current = async (shop: string, release: Release, isFresh: boolean) => {
    const settings = await readSettings(database, shop)
    return currentSet(database, { shop, release, settings, now: Date.now(), isFresh })
  }
  return {
    settings: (shop: string) => readSettings(database, shop),
    now: () => Date.now(),
    /** Says whether the version before was still in force; gives to the pool at once where it may. */
    replaceSettings: async (shop: string, next: StoredSettings, release: Release) => {
      const isReplaced = await replaceSettings(database, shop, next)
      if (isReplaced && next.pooling) await current(shop, release, true)
      return isReplaced
    },
    /** The set that stands for a shop, of today. */
    current: (shop: string, release: Release) => current(shop, release, false),
    /** The same up to this moment. */
    fresh: (shop: string, release: Release) => current(shop, release, true),
    kept: async (shop: string, id: string) => {
      const stored = await findRateSet(database, shop, id)
      return stored && toKept(stored)
    },
    calibration: async (shop: string, release: Release, countsFrom: number | null) => {
      const span = { from: countsFrom ?? 0, before: Date.now(), limit: CALIBRATION_CALLS }
      return calibrationOf(await newestPredictions(database, shop, span), factsOf(release))
    },
  }
}
export type LearningPort = ReturnType<typeof learningPort>
