/** A cause with its probability, as a diagnosis gives it. */
export interface StandingCause {
  cause: string
  probability: number
}
export interface OpenRoot extends StandingCause {
  /** What it brings about again among the causes that the part cures. */
  brings: string[]
}
export interface Outlook {
  /** Likely causes above the part: as long as one stands, the new part fails again. */
  roots: OpenRoot[]
  /** Likely causes that this part does nothing for. */
  notCured: StandingCause[]
}

/** A cause is named when it is at least this likely; the plan of a diagnosis names roots by the same. Judgement. */
const WORTH_NAMING = 0.2

const likeliestFirst = (a: StandingCause, b: StandingCause) =>
  b.probability - a.probability || (a.cause < b.cause ? -1 : 1)

/**
 * What a new part leaves open: roots that would spoil it too, and likely causes that it does not cure.
 *
 * @param standing - causes with their probabilities
 * @param cured - causes that the part's remedy removes
 * @param rootOf - for a cause, those that it brings about if it lasts
 * @returns both lists with the likeliest first; a root is not listed again among what is not cured
 * @validity as good as the diagnosis behind it; with no causes given it says nothing
 * @source own-derivation
 */
export function outlookOf(
  standing: readonly StandingCause[],
  cured: ReadonlySet<string>,
  rootOf: (cause: string) => readonly string[],
): Outlook {
  const likely = new Map<string, number>()
  for (const { cause, probability } of standing)
    if (probability >= WORTH_NAMING && !cured.has(cause))
      likely.set(cause, Math.max(probability, likely.get(cause) ?? 0))
  const left = [...likely].map(([cause, probability]) => ({ cause, probability })).sort(likeliestFirst)
  const withLeaves = left.map((one) => ({ ...one, brings: rootOf(one.cause).filter((leaf) => cured.has(leaf)) }))
  return {
    roots: withLeaves.filter(({ brings }) => brings.length > 0),
    notCured: withLeaves
      .filter(({ brings }) => brings.length === 0)
      .map(({ cause, probability }) => ({ cause, probability })),
  }
}
