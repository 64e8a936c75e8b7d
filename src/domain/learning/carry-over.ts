import { noCounts, type WeighedCounts } from './weigh.ts'

/** What a withdrawn concept was replaced by, by its id. */
export type Replacements = ReadonlyMap<string, readonly string[]>

/** Where the counts of a cause go: to its one successor, or, at a split, nowhere. */
function heirsOf(cause: string, replacements: Replacements): readonly string[] {
  const seen = new Set<string>()
  let heir = cause
  for (;;) {
    const next = replacements.get(heir)
    if (next === undefined || next.length === 0 || seen.has(heir)) return [heir]
    if (next.length > 1) return next
    seen.add(heir)
    heir = next[0]!
  }
}

export interface CarriedCounts extends WeighedCounts {
  /** Causes that were split: their counts stay as they are and teach nobody. */
  frozen: { cause: string; confirmed: number; into: readonly string[] }[]
}

/**
 * Counts under the ids of today: a one-to-one replacement carries them over, a split freezes them. Which of its parts a
 * frozen case was is unknown, so for each part it is a claim that is not counted.
 */
export function carryOver(counts: WeighedCounts, replacements: Replacements): CarriedCounts {
  const carried: CarriedCounts = { ...noCounts(), calls: counts.calls, devices: counts.devices, frozen: [] }
  const at = (cause: string) => {
    const sum = carried.causes.get(cause) ?? { cause, confirmed: 0, claimed: 0, claimedAmongKnown: 0 }
    carried.causes.set(cause, sum)
    return sum
  }
  for (const { cause, confirmed, claimed, claimedAmongKnown } of counts.causes.values()) {
    const heirs = heirsOf(cause, replacements)
    const isSplit = heirs.length > 1
    if (isSplit) carried.frozen.push({ cause, confirmed, into: heirs })
    for (const heir of heirs) {
      const sum = at(heir)
      sum.confirmed += isSplit ? 0 : confirmed
      sum.claimed += claimed + (isSplit ? confirmed : 0)
      sum.claimedAmongKnown += claimedAmongKnown + (isSplit ? confirmed : 0)
    }
  }
  return carried
}
