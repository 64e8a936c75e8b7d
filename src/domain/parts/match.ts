import { type Judged, judgeItem } from './judge.ts'
import type { Item, Requirement } from './types.ts'

export interface NearMiss extends Judged {
  /** What would have to be given up for it to fit, and why that may be dangerous. */
  relaxation: { attribute: string; required: string; found: string; danger: string }
  /** A known way to make it fit, where the requirement allows one. */
  fix?: string
}
export interface MatchResult {
  fits: Judged[]
  confirmFirst: Judged[]
  nearMisses: NearMiss[]
  rejected: Judged[]
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
const DANGER: Record<string, string> = {
  capacityAh: 'Too small runs out early; too large may never be charged fully by this charger and can overheat it.',
  terminal: 'A loose or forced connector heats up. A wide socket on a narrow tab must never be used without an adapter.',
  lengthMm: 'A part that is forced into the case can be crushed, or the cover stays open.',
  widthMm: 'A part that is forced into the case can be crushed, or the cover stays open.',
  heightMm: 'Its terminals can touch the cover: short circuit and fire.',
  resistanceOhm: 'With another value the panel keeps showing the trouble or misses a real one.',
  currentA: 'A supply that is too weak overheats.',
  apparentPowerVA: 'A transformer that is too weak overheats.',
}
const UNSTATED_DANGER = 'Ask whoever is responsible for the system before giving this up.'

function nearMiss(judged: Judged, { adaptersAllowed }: Requirement): NearMiss {
  const { attribute, required, found } = judged.failed[0]!
  return {
    ...judged,
    relaxation: { attribute, required, found: String(found), danger: DANGER[attribute] ?? UNSTATED_DANGER },
    ...(adaptersAllowed && attribute === 'terminal' ? { fix: 'An insulated tab adapter, or a lead with the right socket.' } : {}),
  }
}

const isSubset = (a: readonly string[], b: readonly string[]) => a.every((attribute) => b.includes(attribute))

/** Sets of failed attributes without a safety matter in them, of which no smaller one admits an item. */
function minimalRelaxations(judged: readonly Judged[]): string[][] {
  const sets = judged
    .filter(({ failed }) => failed.length > 0 && !failed.some(({ isSafety }) => isSafety))
    .map(({ failed }) => failed.map(({ attribute }) => attribute).sort())
  const distinct = [...new Map(sets.map((set) => [set.join(' '), set])).values()]
  return distinct
    .filter((set) => !distinct.some((other) => other.length < set.length && isSubset(other, set)))
    .sort((a, b) => a.length - b.length || (a.join() < b.join() ? -1 : 1))
}

/**
 * Judges items against a requirement and ranks them; constraints decide before price ever does.
 * @returns an empty `fits` with `isNoMatch` is a valid, honest answer
 */
export function matchParts(requirement: Requirement, items: readonly Item[]): MatchResult {
  const judged = items.map((item) => judgeItem(requirement, item)).sort(compare)
  const of = (verdict: Judged['verdict']) => judged.filter((one) => one.verdict === verdict)
  const fits = of('fits')
  const confirmFirst = of('needs-confirmation')
  return {
    fits,
    confirmFirst,
    nearMisses: of('near-miss').map((one) => nearMiss(one, requirement)),
    rejected: of('rejected'),
    isNoMatch: fits.length === 0 && confirmFirst.length === 0,
    minimalRelaxations: fits.length === 0 && confirmFirst.length === 0 ? minimalRelaxations(judged) : [],
  }
}
