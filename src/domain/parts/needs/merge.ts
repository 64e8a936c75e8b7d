import { contradictionsOf } from '../contradictions.ts'
import type { AttributeValue, Constraint } from '../types.ts'

const valuesOf = ({ op, value }: Constraint): readonly AttributeValue[] | undefined =>
  op === 'eq' || op === 'in' ? (Array.isArray(value) ? value : [value as AttributeValue]) : undefined

const origins = (a: Constraint, b: Constraint) =>
  a.origin.includes(b.origin) ? a.origin : `${a.origin}; ${b.origin}`.slice(0, 200)

function asBounds({ op, value, to }: Constraint): { low?: number; high?: number } | undefined {
  if (typeof value !== 'number') return undefined
  if (op === 'min') return { low: value }
  if (op === 'max') return { high: value }
  return op === 'range' ? { low: value, ...(to === undefined ? {} : { high: to }) } : undefined
}

const strictest = (pick: (...values: number[]) => number, values: (number | undefined)[]) => {
  const known = values.filter((value) => value !== undefined)
  return known.length > 0 ? pick(...known) : undefined
}

function mergeBounds(a: Constraint, b: Constraint): Pick<Constraint, 'op' | 'value' | 'to'> | undefined {
  const [x, y] = [asBounds(a), asBounds(b)]
  if (!x || !y) return undefined
  const low = strictest(Math.max, [x.low, y.low])
  const high = strictest(Math.min, [x.high, y.high])
  if (low === undefined) return { op: 'max', value: high! }
  return high === undefined ? { op: 'min', value: low } : { op: 'range', value: low, to: high }
}

function mergeLists(a: Constraint, b: Constraint): Pick<Constraint, 'op' | 'value'> | undefined {
  const [x, y] = [valuesOf(a), valuesOf(b)]
  if (!x || !y) return undefined
  const both = x.filter((one) => y.includes(one))
  return both.length === 1 ? { op: 'eq', value: both[0]! } : { op: 'in', value: both }
}

/** One demand that says as much as both; undefined where they are of different kinds. */
function mergePair(a: Constraint, b: Constraint): Constraint | undefined {
  if (a.attribute !== b.attribute || a.kind !== 'hard' || b.kind !== 'hard') return undefined
  if (contradictionsOf([a, b]).length > 0) return undefined
  const merged = mergeLists(a, b) ?? mergeBounds(a, b)
  if (!merged) return undefined
  const { to: _, ...rest } = a
  return { ...rest, ...merged, isSafety: a.isSafety || b.isSafety, origin: origins(a, b) }
}

/**
 * Demands of one requirement with those on one attribute put together, so that a part that misses one is told of it once.
 * Demands that contradict each other stay apart.
 */
export function mergeConstraints(constraints: readonly Constraint[]): Constraint[] {
  const merged: Constraint[] = []
  for (const next of constraints) {
    const at = merged.findIndex((one) => mergePair(one, next) !== undefined)
    if (at < 0) merged.push(next)
    else merged[at] = mergePair(merged[at]!, next)!
  }
  return merged
}
