import { ratesOf } from '../../domain/learning/learn.ts'
import type { Release } from '../../ontology/release.ts'
import { type KeptSet, learnedFrom, saysNothing } from './rate-set.ts'

/** Rates that an answer rests on, and how its basis names them. */
export interface ChosenRates {
  rates: ReadonlyMap<string, number>
  stated: { id: string; sha256: string; asOf: string }
}

/**
 * The rates of a set for an answer; undefined where the set says nothing, so that the answer is the published one to the
 * last bit.
 */
export function chosenRates(kept: KeptSet | undefined, release: Release): ChosenRates | undefined {
  if (kept === undefined || saysNothing(kept.set)) return undefined
  const { id, sha256, asOf } = kept
  return { rates: ratesOf(learnedFrom(kept, release)), stated: { id, sha256, asOf } }
}
