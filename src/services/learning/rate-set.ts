import { type Learned, learnRates, teachesNothing } from '../../domain/learning/learn.ts'
import type { Tally } from '../../domain/learning/tally.ts'
import { weighTally } from '../../domain/learning/weigh.ts'
import type { Release } from '../../ontology/release.ts'
import { factsOf } from './facts.ts'

/** What a set of rates is kept as: counts, and what the pool said. The rates follow from it and a release. */
export interface RateSet {
  /** Month that the ages of the counts are taken from, in months since January 1970. */
  month: number
  tally: Tally
  /** Rates of the pool by cause id; empty without one. */
  pooled: { cause: string; rate: number }[]
}
export interface KeptSet {
  id: string
  sha256: string
  /** ISO time at which it was first made. */
  asOf: string
  set: RateSet
}

const pooledOf = ({ pooled }: Pick<RateSet, 'pooled'>) => new Map(pooled.map(({ cause, rate }) => [cause, rate]))

/** The same counts have the same id, whenever and by whom they are looked at. */
export const idOfSet = (sha256: string) => `learned-${sha256.slice(0, 16)}`

/** Rates of a release from a set, with all that they rest on. */
export function learnedFrom({ set }: KeptSet, release: Release): Learned {
  const { published, replacements } = factsOf(release)
  return learnRates(weighTally(set.tally, set.month), published, replacements, pooledOf(set))
}

/** Whether a set says nothing, so that the published rates stand as they are. */
export const saysNothing = ({ month, tally, pooled }: RateSet) =>
  teachesNothing(weighTally(tally, month), pooledOf({ pooled }))
