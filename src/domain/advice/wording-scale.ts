/**
 * Words beside a probability, on the anchors of S. Renooij and C. Witteman, "Talking probabilities",
 * Int. J. Approximate Reasoning 22 (1999) 169-194 (anchor values from memory): probable 85, expected 75,
 * fifty-fifty 50, uncertain 25, improbable 15. The ends "certain" and "impossible" are never used.
 */
const ANCHORS = [
  { word: 'improbable', upTo: 0.2 },
  { word: 'uncertain', upTo: 0.375 },
  { word: 'fifty-fifty', upTo: 0.625 },
  { word: 'expected', upTo: 0.8 },
  { word: 'probable', upTo: 1 },
] as const
export type ProbabilityWord = (typeof ANCHORS)[number]['word']

/** Highest probability shown to a person while the numbers are not calibrated on outcomes. Judgement. */
const SHOWN_LIMIT = 0.97

/** The probability to show a person. */
export function shownProbability(probability: number): number {
  return Math.min(probability, SHOWN_LIMIT)
}

/** The word to put beside a probability; edges lie half-way between the anchors. */
export function wordFor(probability: number): ProbabilityWord {
  return (ANCHORS.find(({ upTo }) => probability < upTo) ?? ANCHORS.at(-1)!).word
}
