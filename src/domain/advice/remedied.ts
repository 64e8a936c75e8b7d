import type { Changes } from '../diagnosis/cumulative.ts'
import type { Network } from '../diagnosis/network.ts'
import { type Carried, wasDoneAt } from './attempts.ts'
import type { Gathered } from './gathered.ts'
import type { Instance } from './instantiate.ts'

/** Share of its chance that remedies leave each cause of the network which they remove. */
export type Left = ReadonlyMap<number, number>

/**
 * What one remedy leaves of the chance of each cause that it removes, where it was carried out. Of several reports of it on
 * one cause the surest counts, for the same act twice is not known to remove more.
 *
 * left = 1 - r s, with r how surely it was carried out and s the probability that it removes the cause
 */
export function leftByRemedy(instance: Instance, attempts: readonly Carried[]): Left {
  const left = new Map<number, number>()
  for (const attempt of attempts)
    for (const { cause, probability } of instance.release.remedies[attempt.remedy]!.fixes)
      for (const copy of instance.copiesOf(cause))
        if (wasDoneAt(instance, attempt, instance.keys[copy]!))
          left.set(copy, Math.min(left.get(copy) ?? 1, 1 - attempt.reliability * probability))
  return left
}

/** What several remedies leave together: each removes what those before it have left. */
export function together(parts: readonly Left[]): Left {
  const all = new Map<number, number>()
  for (const part of parts) for (const [cause, share] of part) all.set(cause, (all.get(cause) ?? 1) * share)
  return all
}

/** A remedy with all that is known of its being carried out. */
export interface RemedyDone {
  attempts: readonly Carried[]
  left: Left
}

/** Remedies that were carried out, each once, in the order of the release. */
function doneOf({ carried, instance }: Gathered): RemedyDone[] {
  const remedies = [...new Set(carried.map(({ remedy }) => remedy))].sort((a, b) => a - b)
  return remedies.map((one) => {
    const attempts = carried.filter(({ remedy }) => remedy === one)
    return { attempts, left: leftByRemedy(instance, attempts) }
  })
}

/** Priors after remedies that leave so much of each. */
function remaining(before: readonly number[], left: Left): number[] {
  const prior = before.slice()
  for (const [cause, share] of left) prior[cause]! *= share
  return prior
}

/**
 * Priors of causes after remedies were carried out while what stands still stands.
 *
 * A remedy that removes cause c with probability s, and that was really carried out with probability r, leaves it there with
 * weight p (1 - r s) against 1 - p + p r s: what is removed goes to "absent", among causes that exclude each other to
 * "none of them". So p becomes p (1 - r s), as odds p (1 - r s) / (1 - p + p r s), and of several remedies p times the product;
 * whether anything is left to bring about what stands is for the evidence to say.
 *
 * @validity exact where remedies act one apart from the other; what was seen of a cause before the remedy counts as if it were
 * still so, unless a newer finding replaces it
 */
export class Remedied {
  readonly done: readonly RemedyDone[]
  /** Priors under the circumstances and before any remedy. */
  readonly before: readonly number[]
  readonly network: Network
  readonly #left: Left
  readonly #groups: ReadonlyMap<number, readonly number[]>

  /** @param network - under the circumstances and before any remedy */
  constructor(known: Gathered, network: Network) {
    this.done = doneOf(known)
    this.before = network.prior
    this.#left = together(this.done.map(({ left }) => left))
    this.network = this.after(network)
    this.#groups = new Map(network.groups.flatMap((group) => group.map((cause) => [cause, group] as const)))
  }

  /** A network under other circumstances after the same remedies. */
  after(network: Network): Network {
    return { ...network, prior: remaining(network.prior, this.#left) }
  }

  /** Prior of a cause after the first so many remedies. */
  priorAfter(count: number, cause: number): number {
    return this.done.slice(0, count).reduce((prior, { left }) => prior * (left.get(cause) ?? 1), this.before[cause]!)
  }

  /** The network as if one of the remedies had not been carried out. */
  without(remedy: RemedyDone): Network {
    return { ...this.network, prior: remaining(this.before, this.#leftWithout(remedy)) }
  }

  #leftWithout(remedy: RemedyDone): Left {
    return together(this.done.flatMap((one) => (one === remedy ? [] : [one.left])))
  }

  /** Factors on the odds that the network has now, from factors on the odds before the remedies. */
  changes(circumstances: Changes): Changes {
    const factors = new Map(circumstances.causes.map((cause, at) => [cause, circumstances.factors[at]!]))
    return this.#changesTo(factors, this.#left)
  }

  /** Factors that take a remedy back; undefined where it left nothing that a factor could raise. */
  changesWithout(remedy: RemedyDone): Changes | undefined {
    for (const [cause, share] of remedy.left) if (share === 0 && this.before[cause]! > 0) return undefined
    return this.#changesTo(new Map(), this.#leftWithout(remedy))
  }

  /**
   * With b the prior before the remedies, k what they leave of it, and g a factor on the odds before them, the weight of a
   * cause goes from b k to b g k' and that of its absence from the sum of 1 - b and b (1 - k) to that of 1 - b and b g (1 - k').
   */
  #changesTo(factors: ReadonlyMap<number, number>, left: Left): Changes {
    const changes = { causes: [] as number[], factors: [] as number[] }
    const touched = new Set([...factors.keys(), ...this.#left.keys()])
    const variables = new Set([...touched].map((cause) => this.#groups.get(cause) ?? cause))
    for (const variable of variables) {
      const members = typeof variable === 'number' ? [variable] : variable
      const absent = this.#absent(members, new Map(), this.#left) / this.#absent(members, factors, left)
      for (const cause of members) {
        const now = this.#left.get(cause) ?? 1
        if (!(this.before[cause]! * now > 0)) continue
        const factor = ((factors.get(cause) ?? 1) * (left.get(cause) ?? 1) * absent) / now
        if (factor === 1) continue
        changes.causes.push(cause)
        changes.factors.push(factor)
      }
    }
    return changes
  }

  /** Weight of "none of these": what was not there before the remedies, and what they removed. */
  #absent(members: readonly number[], factors: ReadonlyMap<number, number>, left: Left): number {
    return members.reduce(
      (sum, cause) => sum + this.before[cause]! * ((factors.get(cause) ?? 1) * (1 - (left.get(cause) ?? 1)) - 1),
      1,
    )
  }
}
