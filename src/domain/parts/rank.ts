import type { Judged } from './judge.ts'

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

/** Verdict, quality as a substitute, unknowns, preferences met, preferences surely not met, stock, price of the packs needed, then SKU: total, whatever the order given. */
export function compareJudged(a: Judged, b: Judged): number {
  return (
    RANK[a.verdict] - RANK[b.verdict] ||
    (a.substitution?.rank ?? 0) - (b.substitution?.rank ?? 0) ||
    a.unknown.length - b.unknown.length ||
    comparePreferences(a.preferences, b.preferences) ||
    a.disliked - b.disliked ||
    Number(b.isInStock ?? false) - Number(a.isInStock ?? false) ||
    compareNumbers(a.totalPriceMinor, b.totalPriceMinor) ||
    (a.item.sku < b.item.sku ? -1 : a.item.sku > b.item.sku ? 1 : 0)
  )
}
