import type { AttributeValue, Constraint, ValueRange } from '../types.ts'
import { isRange } from '../words.ts'
import type { AttributeSpec } from './spec.ts'

const ORIGIN = 'read off the old part'

/** Measures of the old part are no limits: the case may be larger, so beyond them is a question. */
const OF_THE_CASE = ['lengthMm', 'widthMm', 'heightMm']
/** More of it than the old part had is right only up to a limit that the old part does not tell. */
const LIMITED_ABOVE = ['capacityAh']

const based = ({ name, role }: AttributeSpec): Omit<Constraint, 'op' | 'value'> => ({
  attribute: name,
  kind: role === 'preference' ? 'soft' : 'hard',
  isSafety: role === 'safety',
  origin: ORIGIN,
})

/** Words from the old part's upwards, where there is an order. */
function atLeastInOrder({ order }: AttributeSpec, value: AttributeValue): readonly string[] | undefined {
  const at = order?.indexOf(String(value)) ?? -1
  return at < 0 ? undefined : order!.slice(at)
}

function bounded(spec: AttributeSpec, value: number): Constraint[] {
  const { name, rule } = spec
  if (rule === 'at-most') {
    const kind = OF_THE_CASE.includes(name) ? ('confirm' as const) : based(spec).kind
    return [{ ...based(spec), kind, op: 'max', value }]
  }
  const least: Constraint = { ...based(spec), op: 'min', value }
  if (!LIMITED_ABOVE.includes(name) || spec.role === 'preference') return [least]
  const origin = 'the old part had no more; what the charger may charge is not stated'
  return [least, { ...based(spec), kind: 'confirm', op: 'max', value, origin }]
}

const isUnspecific = ({ unspecific }: AttributeSpec, value: AttributeValue | ValueRange) =>
  typeof value === 'string' && unspecific?.includes(value) === true

/** What a value read off the old part demands of a new one, by the rule of its attribute. */
export function oldPartDemands(spec: AttributeSpec, value: AttributeValue | ValueRange): Constraint[] {
  if (spec.rule === 'count' || isUnspecific(spec, value)) return []
  if (isRange(value)) return [{ ...based(spec), op: 'covers', value: value.min, to: value.max }]
  const words = spec.rule === 'at-least' ? atLeastInOrder(spec, value) : undefined
  if (words) return [{ ...based(spec), op: 'in', value: words }]
  if (typeof value === 'number' && spec.rule === 'covers') return [{ ...based(spec), op: 'covers', value }]
  if (typeof value === 'number' && spec.rule !== 'equal') return bounded(spec, value)
  const { unspecific = [], values } = spec
  // A word of another family does not become this one's by the names that cover the whole list.
  return unspecific.length > 0 && values?.includes(String(value))
    ? [{ ...based(spec), op: 'in', value: [value, ...unspecific] }]
    : [{ ...based(spec), op: 'eq', value }]
}
