import { infer, type Prepared } from '../diagnosis/prepare.ts'
import { reweighPrior } from '../diagnosis/reweigh.ts'
import type { Circumstances } from './circumstances.ts'
import { circumstancesOf, type Gathered } from './gathered.ts'
import { contextFactors, networkUnder } from './instantiate.ts'

/** Circumstances that exclude each other, as far as they were spoken of, with the findings that did. */
interface Unit {
  circumstances: Circumstances
  findings: readonly number[]
}

/** Findings that spoke of a circumstance. */
const findingsOn = ({ contexts, excludedContexts }: Gathered, context: number): number[] =>
  [contexts.get(context), excludedContexts.get(context)].flatMap((at) => at ?? [])

/** What was said of circumstances, what is of one dimension together. */
function unitsOf(known: Gathered): Unit[] {
  const { instance } = known
  const units = new Map<string, { circumstances: Map<number, number>; findings: number[] }>()
  for (const [context, degree] of circumstancesOf(known)) {
    const name = instance.release.contexts[context]!.dimension ?? `${context}`
    const unit = units.get(name) ?? { circumstances: new Map<number, number>(), findings: [] as number[] }
    units.set(name, unit)
    unit.circumstances.set(context, degree)
    unit.findings.push(...findingsOn(known, context))
  }
  return [...units.values()]
}

const together = (units: readonly Unit[]): Circumstances =>
  new Map(units.flatMap(({ circumstances }) => [...circumstances]))

/** What the circumstances that move a cause one way did to it, with the findings that speak of them. */
export interface CircumstanceStep {
  findings: number[]
  decibans: number
  ifLeftOut: number
}

/** Changes smaller than this are none. */
const NOTHING = 1e-9

/** Posteriors with some circumstances left out; worked out anew only where one of them rules a cause out altogether. */
function withoutUnits(known: Gathered, prior: readonly number[], prepared: Prepared, units: readonly Unit[]) {
  const { instance } = known
  const all = contextFactors(instance, together(units))
  return (rest: readonly Unit[]): ArrayLike<number> => {
    const left = together(rest)
    const factors = contextFactors(instance, left)
    const changed = new Map<number, number>()
    let isBarred = false
    factors.forEach((factor, cause) => {
      if (factor === all[cause]) return
      if (all[cause] === 0) isBarred = true
      changed.set(cause, factor / all[cause]!)
    })
    const reweighed = isBarred ? undefined : reweighPrior(prepared, changed)
    if (reweighed !== undefined && reweighed.probability > 0) return reweighed.posterior
    return infer(networkUnder(instance, prior, left), known.evidence).posterior
  }
}

/**
 * Account of the circumstances for one cause after another: those that raise it together, and those that lower it. Each is
 * entered after those before it, so that both steps add up exactly to what all of them make of the prior; one that does not
 * move the cause is not named.
 *
 * @param prior - of each cause of the network, before any circumstance
 * @param prepared - everything known, worked through
 * @param log - log-odds in decibans
 */
export function circumstanceSteps(
  known: Gathered,
  prior: readonly number[],
  prepared: Prepared,
  log: (probability: number) => number,
): (cause: number) => CircumstanceStep[] {
  const units = unitsOf(known)
  if (units.length === 0) return () => []
  const { posterior } = prepared.inference
  const before = units.map((_, at) => networkUnder(known.instance, prior, together(units.slice(0, at))).prior)
  const stages = [...before, prepared.network.prior]
  const leaveOut = withoutUnits(known, prior, prepared, units)
  const left = new Map<string, ArrayLike<number>>()
  const without = (out: readonly number[]): ArrayLike<number> => {
    const key = out.join(' ')
    const found = left.get(key) ?? leaveOut(units.filter((_, at) => !out.includes(at)))
    left.set(key, found)
    return found
  }
  return (cause) => {
    const moves = units.map((_, at) => log(stages[at + 1]![cause]!) - log(stages[at]![cause]!))
    const stepOf = (isOfIt: (move: number) => boolean): CircumstanceStep[] => {
      const own = moves.flatMap((move, at) => (Math.abs(move) > NOTHING && isOfIt(move) ? [at] : []))
      if (own.length === 0) return []
      return [
        {
          findings: [...new Set(own.flatMap((at) => units[at]!.findings))].sort((a, b) => a - b),
          decibans: own.reduce((sum, at) => sum + moves[at]!, 0),
          ifLeftOut: log(posterior[cause]!) - log(without(own)[cause]!),
        },
      ]
    }
    return [...stepOf((move) => move > 0), ...stepOf((move) => move < 0)]
  }
}
