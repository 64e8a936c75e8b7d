import { infer, type Prepared } from '../diagnosis/prepare.ts'
import { reweighOdds } from '../diagnosis/reweigh.ts'
import { oddsFactors } from './circumstances.ts'
import { degreesOf, type Gathered, heldFrom, type StatedContexts } from './gathered.ts'
import { limited, networkUnder } from './instantiate.ts'
import type { Remedied } from './remedied.ts'

/** Circumstances of the system or of one device that exclude each other, as far as they were spoken of, with the findings that did. */
interface Unit {
  device: string | undefined
  /** One of a device; without a name that of a device which was not named. */
  isPerDevice: boolean
  circumstances: Map<number, number>
  findings: number[]
  /** What they make of the odds of each cause of the release. */
  factors: Float64Array
  /** Causes of the release whose odds they change. */
  moved: readonly number[]
}

/** Findings that spoke of a circumstance. */
const findingsOn = ({ contexts, excludedContexts }: StatedContexts, context: number): number[] =>
  [contexts.get(context), excludedContexts.get(context)].flatMap((at) => at ?? [])

/** What was said of circumstances, what is of one dimension and device together. */
function unitsOf(known: Gathered): Unit[] {
  const { instance, index } = known
  const { release } = instance
  const units: Omit<Unit, 'factors' | 'moved'>[] = []
  for (const [device, stated] of [[undefined, known] as const, ...known.onDevice])
    for (const [context, degree] of degreesOf(stated)) {
      const isOfUnit = (unit: (typeof units)[number]) =>
        unit.device === device && index.dimensionOf[[...unit.circumstances.keys()][0]!] === index.dimensionOf[context]
      const isPerDevice = release.contexts[context]!.isPerDevice === true
      const unit = units.find(isOfUnit) ?? { device, isPerDevice, circumstances: new Map(), findings: [] as number[] }
      if (unit.circumstances.size === 0) units.push(unit)
      unit.circumstances.set(context, degree)
      unit.findings.push(...findingsOn(stated, context))
    }
  return units.map((unit) => {
    const factors = oddsFactors(release, unit.circumstances)
    const moved: number[] = []
    for (let cause = 0; cause < factors.length; cause++) if (factors[cause] !== 1) moved.push(cause)
    return { ...unit, factors, moved }
  })
}

/** What the circumstances that move a cause one way did to it, with the findings that speak of them. */
export interface CircumstanceStep {
  findings: number[]
  decibans: number
  ifLeftOut: number
}

/** Changes smaller than this are none. */
const NOTHING = 1e-9

/** The circumstances of a call, and what each subset of them would make of the causes. */
class CircumstanceAccount {
  readonly units: readonly Unit[]
  readonly #known: Gathered
  readonly #prior: readonly number[]
  readonly #prepared: Prepared
  readonly #remedied: Remedied | undefined
  readonly #without = new Map<string, ArrayLike<number>>()

  constructor(known: Gathered, prior: readonly number[], prepared: Prepared, remedied: Remedied | undefined) {
    this.#remedied = remedied
    this.units = unitsOf(known)
    this.#known = known
    this.#prior = prior
    this.#prepared = prepared
  }

  /** Factor on the odds of a cause of the network, within the limit. */
  #factorUnder(units: readonly Unit[], at: number): number {
    const { cause, device } = this.#known.instance.keys[at]!
    let factor = 1
    for (const unit of units) if (!unit.isPerDevice || unit.device === device) factor *= unit.factors[cause]!
    return limited(factor)
  }

  /** Prior of a cause under some of the circumstances; causes that exclude each other share what is left. */
  priorUnder(units: readonly Unit[], at: number): number {
    const { causesOf, variableOf } = this.#prepared.model
    let total = 1
    for (const other of causesOf[variableOf[at]!]!) total += this.#prior[other]! * (this.#factorUnder(units, other) - 1)
    return (this.#prior[at]! * this.#factorUnder(units, at)) / total
  }

  /** Posteriors with some circumstances left out; worked out from the priors only where one of them rules a cause out. */
  without(out: readonly number[]): ArrayLike<number> {
    const key = out.join(' ')
    const found = this.#without.get(key) ?? this.#leaveOut(out)
    this.#without.set(key, found)
    return found
  }

  #leaveOut(out: readonly number[]): ArrayLike<number> {
    const left = this.units.filter((_, at) => !out.includes(at))
    const changes = { causes: [] as number[], factors: [] as number[] }
    for (const at of this.#movedBy(out)) {
      const now = this.#factorUnder(this.units, at)
      const then = this.#factorUnder(left, at)
      if (now === then || !(this.#prior[at]! > 0)) continue
      if (now === 0) return this.#inferUnder(left)
      changes.causes.push(at)
      changes.factors.push(then / now)
    }
    return reweighOdds(this.#prepared, this.#remedied?.changes(changes) ?? changes).posterior
  }

  /** Causes of the network that some of the units move. */
  #movedBy(units: readonly number[]): Set<number> {
    const { copiesOf } = this.#known.instance
    const moved = new Set<number>()
    for (const unit of units)
      for (const cause of this.units[unit]!.moved) for (const copy of copiesOf(cause)) moved.add(copy)
    return moved
  }

  #inferUnder(left: readonly Unit[]): ArrayLike<number> {
    const { instance, evidence } = this.#known
    const all = new Map(left.flatMap(({ device, circumstances }) => (device === undefined ? [...circumstances] : [])))
    const onDevice = new Map<string, Map<number, number>>()
    for (const { device, circumstances } of left)
      if (device !== undefined) onDevice.set(device, new Map([...(onDevice.get(device) ?? []), ...circumstances]))
    const network = networkUnder(instance, this.#prior, heldFrom(instance, all, onDevice))
    return infer(this.#remedied?.after(network) ?? network, evidence).posterior
  }
}

/**
 * Account of the circumstances for one cause after another: those that raise it together, and those that lower it. Each is
 * entered after those before it, so that both steps add up exactly to what all of them make of the prior; one that does not
 * move the cause is not named.
 *
 * @param prior - of each cause of the network, before any circumstance
 * @param prepared - everything known, worked through
 * @param remedied - what remedies came to after the circumstances, where any was carried out
 * @param log - log-odds in decibans
 */
export function circumstanceSteps(
  known: Gathered,
  prior: readonly number[],
  { prepared, remedied }: { prepared: Prepared; remedied?: Remedied },
  log: (probability: number) => number,
): (cause: number) => CircumstanceStep[] {
  const account = new CircumstanceAccount(known, prior, prepared, remedied)
  const under = remedied?.before ?? prepared.network.prior
  const { units } = account
  if (units.length === 0) return () => []
  const { posterior } = prepared.inference
  return (cause) => {
    const stages = units.map((_, at) => log(account.priorUnder(units.slice(0, at), cause)))
    stages.push(log(under[cause]!))
    const moves = units.map((_, at) => stages[at + 1]! - stages[at]!)
    const stepOf = (isOfIt: (move: number) => boolean): CircumstanceStep[] => {
      const own = moves.flatMap((move, at) => (Math.abs(move) > NOTHING && isOfIt(move) ? [at] : []))
      if (own.length === 0) return []
      return [
        {
          findings: [...new Set(own.flatMap((at) => units[at]!.findings))].sort((a, b) => a - b),
          decibans: own.reduce((sum, at) => sum + moves[at]!, 0),
          ifLeftOut: log(posterior[cause]!) - log(account.without(own)[cause]!),
        },
      ]
    }
    return [...stepOf((move) => move > 0), ...stepOf((move) => move < 0)]
  }
}
