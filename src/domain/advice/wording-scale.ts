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

/**
 * How strongly an item speaks, by the factor on the odds: 3, 20 and 150 as in R. E. Kass and A. E. Raftery, "Bayes factors",
 * J. American Statistical Association 90 (1995) 773-795 (from memory).
 */
const STRENGTHS = [
  { factor: 150, word: 'very strongly ' },
  { factor: 20, word: 'strongly ' },
  { factor: 3, word: '' },
  { factor: 1, word: 'slightly ' },
] as const

/** "speaks strongly for this", from a change of the log-odds in decibans. */
export function strengthOf(decibans: number): string {
  const factor = 10 ** (Math.abs(decibans) / 10)
  const { word } = STRENGTHS.find((strength) => factor >= strength.factor)!
  return `speaks ${word}${decibans >= 0 ? 'for' : 'against'} this`
}

/** The probability to show a person. */
export function shownProbability(probability: number): number {
  return Math.min(probability, SHOWN_LIMIT)
}

/** The word to put beside a probability; edges lie half-way between the anchors. */
export function wordFor(probability: number): ProbabilityWord {
  return (ANCHORS.find(({ upTo }) => probability < upTo) ?? ANCHORS.at(-1)!).word
}
