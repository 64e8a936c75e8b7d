import { DomainError } from '../errors.ts'
import { type Judged, judgeItem, wordValue } from './judge.ts'
import type { Item, Requirement } from './types.ts'

export interface NearMiss extends Judged {
  /** What would have to be given up for it to fit, and why that may be dangerous. */
  relaxation: { attribute: string; required: string; found: string; danger: string }
  /** A known way to make it fit, where the requirement allows one. */
  fix?: string
}
/** How many rejected items failed on an attribute. */
export interface RejectionCount {
  attribute: string
  isSafety: boolean
  count: number
}
export interface MatchResult {
  fits: Judged[]
  confirmFirst: Judged[]
  nearMisses: NearMiss[]
  rejected: Judged[]
  /** Why items were rejected: matters of safety first, then the most frequent. */
  rejections: RejectionCount[]
  isNoMatch: boolean
  /** Smallest sets of attributes whose giving up would admit an item; never one of safety. Only when nothing fits. */
  minimalRelaxations: string[][]
}

const RANK = { fits: 0, 'needs-confirmation': 1, 'near-miss': 2, rejected: 3 } as const

/** More preferences met first, earlier ones counting before later ones. */
function comparePreferences(a: readonly boolean[], b: readonly boolean[]): number {
  for (let index = 0; index < a.length; index++) if (a[index] !== b[index]) return a[index] ? -1 : 1
  return 0
}

const last = Number.POSITIVE_INFINITY
const compareNumbers = (a: number | undefined, b: number | undefined) => {
  const [x, y] = [a ?? last, b ?? last]
  return x === y ? 0 : x - y
}

/** Verdict, unknowns, preferences, stock, price of the packs needed, then SKU: total, whatever the order given. */
function compare(a: Judged, b: Judged): number {
  return (
    RANK[a.verdict] - RANK[b.verdict] ||
    a.unknown.length - b.unknown.length ||
    comparePreferences(a.preferences, b.preferences) ||
    Number(b.isInStock ?? false) - Number(a.isInStock ?? false) ||
    compareNumbers(a.totalPriceMinor, b.totalPriceMinor) ||
    (a.item.sku < b.item.sku ? -1 : a.item.sku > b.item.sku ? 1 : 0)
  )
}

/** Why giving up a constraint may hurt. Common practice, no source. */
const DANGER = new Map([
  ['capacityAh', 'Too small runs out early; too large may never be charged fully by this charger and can overheat it.'],
  [
    'terminal',
    'A loose or forced connector heats up. A wide socket on a narrow tab must never be used without an adapter.',
  ],
  ['lengthMm', 'A part that is forced into the case can be crushed, or the cover stays open.'],
  ['widthMm', 'A part that is forced into the case can be crushed, or the cover stays open.'],
  ['heightMm', 'Its terminals can touch the cover: short circuit and fire.'],
  ['resistanceOhm', 'With another value the panel keeps showing the trouble or misses a real one.'],
  ['currentA', 'A supply that is too weak overheats.'],
  ['apparentPowerVA', 'A transformer that is too weak overheats.'],
])
const UNSTATED_DANGER = 'Ask whoever is responsible for the system before giving this up.'

function nearMiss(judged: Judged, { adaptersAllowed }: Requirement): NearMiss {
  const { attribute, required, found } = judged.failed[0]!
  return {
    ...judged,
    relaxation: { attribute, required, found: wordValue(found), danger: DANGER.get(attribute) ?? UNSTATED_DANGER },
    ...(adaptersAllowed && attribute === 'terminal'
      ? { fix: 'An insulated tab adapter, or a lead with the right socket.' }
      : {}),
  }
}

const isSubset = (a: readonly string[], b: readonly string[]) => a.every((attribute) => b.includes(attribute))

/** Sets of failed attributes without a safety matter in them, of which no smaller one admits an item. */
function minimalRelaxations(judged: readonly Judged[]): string[][] {
  const sets = judged
    .filter(({ failed }) => failed.length > 0 && !failed.some(({ isSafety }) => isSafety))
    .map(({ failed }) => [...new Set(failed.map(({ attribute }) => attribute))].sort())
  const distinct = [...new Map(sets.map((set) => [set.join(' '), set])).values()]
  return distinct
    .filter((set) => !distinct.some((other) => other.length < set.length && isSubset(other, set)))
    .sort((a, b) => a.length - b.length || (a.join() < b.join() ? -1 : 1))
}

function countRejections(rejected: readonly Judged[]): RejectionCount[] {
  const counts = new Map<string, RejectionCount>()
  for (const { attribute, isSafety } of rejected.flatMap(({ failed }) => failed)) {
    const key = `${isSafety} ${attribute}`
    counts.set(key, { attribute, isSafety, count: (counts.get(key)?.count ?? 0) + 1 })
  }
  return [...counts.values()].sort(
    (a, b) => Number(b.isSafety) - Number(a.isSafety) || b.count - a.count || (a.attribute < b.attribute ? -1 : 1),
  )
}

function refuseUncountable(value: number | undefined, path: string): void {
  if (value === undefined || (Number.isInteger(value) && value >= 1)) return
  const name = path.split('/').at(-1)
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `${name} must be a whole number from 1, got ${value}`, {
    path,
    limit: 1,
    value: String(value),
  })
}

/**
 * Judges items against a requirement and ranks them; constraints decide before price ever does.
 *
 * @param requirement - kind of part, constraints in the attributes' own units, pieces needed (a whole number >= 1)
 * @param items - what the shop has; an absent attribute is unknown, and unknown is never a match
 * @returns an empty `fits` with `isNoMatch` is a valid, honest answer
 * @throws DomainError QUANTITY_OUT_OF_RANGE when the pieces needed or a pack's pieces are no whole number >= 1
 * @validity compares what is stated; it does not know whether the statement is true
 * @source common practice, no source
 */
export function matchParts(requirement: Requirement, items: readonly Item[]): MatchResult {
  refuseUncountable(requirement.quantity, '/quantity')
  items.forEach(({ packQuantity }, index) => refuseUncountable(packQuantity, `/items/${index}/packQuantity`))
  const judged = items.map((item) => judgeItem(requirement, item)).sort(compare)
  const of = (verdict: Judged['verdict']) => judged.filter((one) => one.verdict === verdict)
  const [fits, confirmFirst, rejected] = [of('fits'), of('needs-confirmation'), of('rejected')]
  const isNoMatch = fits.length === 0 && confirmFirst.length === 0
  return {
    fits,
    confirmFirst,
    nearMisses: of('near-miss').map((one) => nearMiss(one, requirement)),
    rejected,
    rejections: countRejections(rejected),
    isNoMatch,
    minimalRelaxations: isNoMatch ? minimalRelaxations(judged) : [],
  }
}
