import { posteriorUnder } from '../diagnosis/left-out.ts'
import type { Prepared } from '../diagnosis/prepare.ts'
import type { Held } from './circumstances.ts'
import { degreesOf, type Gathered, heldFrom, type StatedContexts } from './gathered.ts'
import { networkUnder } from './instantiate.ts'

/** Circumstances of the system or of one device that exclude each other, as far as they were spoken of, with the findings that did. */
interface Unit {
  device: string | undefined
  circumstances: Map<number, number>
  findings: number[]
}

/** Findings that spoke of a circumstance. */
const findingsOn = ({ contexts, excludedContexts }: StatedContexts, context: number): number[] =>
  [contexts.get(context), excludedContexts.get(context)].flatMap((at) => at ?? [])

/** What was said of circumstances, what is of one dimension and device together. */
function unitsOf(known: Gathered): Unit[] {
  const { dimensionOf } = known.index
  const units: Unit[] = []
  for (const [device, stated] of [[undefined, known] as const, ...known.onDevice])
    for (const [context, degree] of degreesOf(stated)) {
      const isOfUnit = (unit: Unit) =>
        unit.device === device && dimensionOf[[...unit.circumstances.keys()][0]!] === dimensionOf[context]
      const unit: Unit = units.find(isOfUnit) ?? { device, circumstances: new Map(), findings: [] }
      if (unit.circumstances.size === 0) units.push(unit)
      unit.circumstances.set(context, degree)
      unit.findings.push(...findingsOn(stated, context))
    }
  return units
}

function together({ instance }: Gathered, units: readonly Unit[]): Held {
  const all = new Map<number, number>()
  const onDevice = new Map<string, Map<number, number>>()
  for (const { device, circumstances } of units) {
    const target = device === undefined ? all : (onDevice.get(device) ?? new Map<number, number>())
    if (device !== undefined) onDevice.set(device, target)
    for (const [context, degree] of circumstances) target.set(context, degree)
  }
  return heldFrom(instance, all, onDevice)
}

/** What the circumstances that move a cause one way did to it, with the findings that speak of them. */
export interface CircumstanceStep {
  findings: number[]
  decibans: number
  ifLeftOut: number
}

/** Changes smaller than this are none. */
const NOTHING = 1e-9

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
  const priorUnder = (some: readonly Unit[]) => networkUnder(known.instance, prior, together(known, some)).prior
  const stages = [...units.map((_, at) => priorUnder(units.slice(0, at))), prepared.network.prior]
  const left = new Map<string, ArrayLike<number>>()
  const without = (out: readonly number[]): ArrayLike<number> => {
    const key = out.join(' ')
    const rest = () => priorUnder(units.filter((_, at) => !out.includes(at)))
    const found = left.get(key) ?? posteriorUnder(prepared, rest())
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
