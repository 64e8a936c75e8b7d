import { atMost, upTo } from '../diagnosis/cumulative.ts'
import type { Effect } from '../diagnosis/network.ts'
import { binaryEntropyBits } from './entropy.ts'
import type { OddsAnswer } from './odds-answers.ts'
import type { SearchState } from './search-state.ts'

/** A result of a check: how likely it is, and by how much the joint probability of each group with it differs from a product. */
interface Shifted {
  probability: number
  joint: Float64Array
}

/**
 * A cheap guess of what a check brings: the bits that it would bring if causes were independent given what is known. No
 * bound: causes of which one must be there, or that explain each other away, bring more.
 */
export class Screen {
  readonly #posterior: readonly number[]
  readonly #prior: readonly number[]
  /** Group of each cause that is worth telling apart; -1 for the others. */
  readonly #groupOf: Int32Array
  /** Probability of each group. */
  readonly #held: Float64Array
  /** Room for the results of one check: nothing but zeros between two checks. */
  readonly #results: Shifted[] = []
  /** Groups that the check at hand speaks of, each once. */
  readonly #spokenOf: number[] = []
  readonly #isSpokenOf: Uint8Array

  constructor({ posterior, groups, prepared }: Pick<SearchState, 'posterior' | 'groups' | 'prepared'>) {
    this.#posterior = posterior
    this.#prior = prepared.network.prior
    this.#groupOf = new Int32Array(posterior.length).fill(-1)
    this.#held = new Float64Array(groups.length)
    this.#isSpokenOf = new Uint8Array(groups.length)
    groups.forEach((group, number) => {
      for (const cause of group) {
        this.#groupOf[cause] = number
        this.#held[number]! += posterior[cause]!
      }
    })
  }

  /** Bits that seeing the level of an effect would bring: P(level <= b) is a product over its causes. */
  ofEffect(effect: Effect): number {
    const { leak } = effect
    const results = this.#roomFor(leak.length)
    for (let level = 0; level < leak.length - 1; level++) {
      const { causes, factors } = atMost(effect, level)
      this.#enter(results[level]!, upTo(leak, level) * this.#meanOf(causes, factors), causes, factors)
    }
    results[leak.length - 1]!.probability = 1
    for (let level = leak.length - 1; level > 0; level--) this.#subtract(results[level]!, results[level - 1]!)
    return this.#gainBits(leak.length)
  }

  /**
   * Bits that the answer to a question of circumstances would bring: how often each is given, and the root of how well it fits
   * what is known, for causes that stand for the same thing would all count (measured: nearer than the whole, or nothing).
   */
  ofAnswers(answers: readonly OddsAnswer[]): number {
    const results = this.#roomFor(answers.length)
    let total = 0
    answers.forEach(({ share, changes: { causes, factors } }, at) => {
      const probability = share * Math.sqrt(this.#fitOf(causes, factors))
      this.#enter(results[at]!, probability, causes, factors)
      total += probability
    })
    if (total > 0) for (let at = 0; at < answers.length; at++) this.#divide(results[at]!, total)
    return this.#gainBits(answers.length)
  }

  #roomFor(count: number): readonly Shifted[] {
    while (this.#results.length < count)
      this.#results.push({ probability: 0, joint: new Float64Array(this.#held.length) })
    return this.#results
  }

  /** How the weight of everything known changes when that of each cause is multiplied by a factor. */
  #meanOf(causes: readonly number[], factors: ArrayLike<number>): number {
    let product = 1
    for (let at = 0; at < causes.length; at++) product *= 1 + this.#posterior[causes[at]!]! * (factors[at]! - 1)
    return product
  }

  /** The same when odds are multiplied. */
  #fitOf(causes: readonly number[], factors: ArrayLike<number>): number {
    let then = 1
    let expected = 1
    for (let at = 0; at < causes.length; at++) {
      const change = factors[at]! - 1
      then *= 1 + this.#posterior[causes[at]!]! * change
      expected *= 1 + this.#prior[causes[at]!]! * change
    }
    return then / expected
  }

  /** Enters a result that multiplies the odds of causes by factors. */
  #enter(result: Shifted, probability: number, causes: readonly number[], factors: ArrayLike<number>): void {
    result.probability = probability
    for (let at = 0; at < causes.length; at++) {
      const cause = causes[at]!
      const group = this.#groupOf[cause]!
      if (group < 0) continue
      const held = this.#posterior[cause]!
      const factor = factors[at]!
      const mean = 1 - held + held * factor
      if (!(mean > 0)) continue
      result.joint[group]! += probability * held * (factor / mean - 1)
      if (this.#isSpokenOf[group] === 1) continue
      this.#isSpokenOf[group] = 1
      this.#spokenOf.push(group)
    }
  }

  #subtract(result: Shifted, below: Shifted): void {
    result.probability -= below.probability
    for (const group of this.#spokenOf) result.joint[group]! -= below.joint[group]!
  }

  #divide(result: Shifted, total: number): void {
    result.probability /= total
    for (const group of this.#spokenOf) result.joint[group]! /= total
  }

  /** Gain over the groups spoken of; leaves the room as it was. */
  #gainBits(results: number): number {
    let gain = 0
    for (const group of this.#spokenOf) {
      gain += this.#gainOf(group, results)
      this.#isSpokenOf[group] = 0
      for (let at = 0; at < results; at++) this.#results[at]!.joint[group] = 0
    }
    this.#spokenOf.length = 0
    return gain
  }

  #gainOf(group: number, results: number): number {
    const held = this.#held[group]!
    let mixture = 0
    let rest = 0
    for (let at = 0; at < results; at++) {
      const { probability, joint } = this.#results[at]!
      if (!(probability > 0)) continue
      const then = Math.min(1, Math.max(0, held + joint[group]! / probability))
      mixture += probability * then
      rest += probability * binaryEntropyBits(then)
    }
    return binaryEntropyBits(Math.min(1, mixture)) - rest
  }
}
