import { causesOfEffect } from '../diagnosis/causes-of.ts'
import type { Prepared } from '../diagnosis/prepare.ts'
import type { Limits } from '../findings/finding.ts'
import type { CompiledCheck } from './compiled.ts'
import type { PossibleResult } from './entropy.ts'
import type { Gathered } from './gathered.ts'
import { isPlannedFor } from './goes-with.ts'
import type { Obstacle } from './obstacles.ts'
import type { Permit } from './permit.ts'
import { WORTH } from './release-index.ts'
import type { Remedied } from './remedied.ts'

/** So many checks are offered: what could not be among them need not be worked out. */
export const OFFERED = 8

export interface NextCheck {
  check: number
  device?: string
  gainBits: number
  /** With the best check after it, for the few in front that are near-equal. */
  twoStepBits?: number
  /** Minutes with those of the questions that must come first. */
  minutes: number
  bitsPerMinute: number
  results: PossibleResult[]
  /** Why it stands where it does. */
  why: 'most-information-per-minute' | 'open-the-display-first' | 'opens-the-way' | 'opens-the-plan' | 'lift-first'
  /** The check that this one opens the way for, and its results. */
  before?: number
  opensResults?: PossibleResult[]
  /** The likely remedy that waits for this one. */
  opensRemedy?: number
  /** What has to be lifted before this one is put once more. */
  lift?: readonly Obstacle[]
}
export interface RefusedCheck {
  check: number
  device?: string
  permit: Extract<Permit, { verdict: 'refused' }>
  gainBits: number
}
export interface SearchedChecks {
  checks: NextCheck[]
  refused: RefusedCheck[]
  evaluated: number
  of: number
  stateUpdates: number
}

/** Where nothing is left to be found out. */
export const nothingSearched = (): SearchedChecks => ({
  checks: [],
  refused: [],
  evaluated: 0,
  of: 0,
  stateUpdates: 0,
})

/** What the search reads: the state of knowledge and its inference. */
export interface SearchState {
  known: Gathered
  prepared: Prepared
  posterior: number[]
  /** What remedies came to, where any was carried out. */
  remedied?: Remedied
  /** Causes that can bring about what stands; telling others apart is of no use now. */
  relevant: ReadonlySet<number>
  /** The relevant causes, those that are repaired alike together. */
  groups: readonly (readonly number[])[]
  limits: Limits
}

/** An hour of waiting counts as six minutes of attention. Judgement. */
const WAIT_WEIGHT = 0.1
/**
 * Putting a question and hearing the answer, whatever it is about [min]. Judgement; at one minute and less many small
 * questions went before one that decides.
 */
const ASKING_MINUTES = 2
/** What a check costs the caller, in minutes. */
export const costMinutes = ({ minutes, waitMinutes }: CompiledCheck) =>
  ASKING_MINUTES + minutes + WAIT_WEIGHT * waitMinutes

/** Causes linked to a condition that stands; every cause while none does. */
export function relevantCauses({ instance, present }: Gathered): ReadonlySet<number> {
  if (present.length === 0) return new Set(instance.keys.keys())
  const each = present.map(({ effect }) => causesOfEffect(instance.effects[effect]!))
  return each.length === 1 ? each[0]! : new Set(each.flatMap((causes) => [...causes]))
}

/** The remedy of a cause that is worth most by a measure, of those that have their place in this call; -1 for none. */
function bestPlanned(known: Gathered, position: number, measure: 'first' | 'surest'): number {
  const { instance, index } = known
  const key = instance.keys[position]!
  const { cause } = key
  const { remedies } = instance.release
  const best = index[`${measure}RemedyOf`][cause]!
  if (best < 0 || isPlannedFor(known, remedies[best]!, key)) return best
  let found = { remedy: -1, worth: 0 }
  for (const remedy of index.remediesOf[cause]!) {
    const one = remedies[remedy]!
    const worth = WORTH[measure](one, one.fixes.find((fix) => fix.cause === cause)!.probability)
    if (worth > found.worth && isPlannedFor(known, one, key)) found = { remedy, worth }
  }
  return found.remedy
}

/**
 * Relevant causes by device, by the remedy to try first and by the surest one: telling apart what is repaired alike is
 * worth nobody's minutes.
 */
export function repairedAlike(known: Gathered, relevant: ReadonlySet<number>): number[][] {
  const { instance } = known
  const groups = new Map<number | string, number[]>()
  for (const position of relevant) {
    const { device } = instance.keys[position]!
    const first = bestPlanned(known, position, 'first')
    const surest = bestPlanned(known, position, 'surest')
    const repair = first < 0 ? -1 - position : first * instance.release.remedies.length + surest
    const name = device === undefined ? repair : `${repair} ${device}`
    const group = groups.get(name)
    if (group === undefined) groups.set(name, [position])
    else group.push(position)
  }
  return [...groups.values()]
}
