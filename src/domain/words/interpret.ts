import { type EntryKind, keyOf } from './lexicon.ts'
import { matchesIn } from './match.ts'
import { asReading, measuredNumbers } from './measured.ts'
import { isDenied } from './negation.ts'
import type { PreparedLexicon } from './prepare.ts'
import { explainAway, type Found, foundOf, lastResortsLast } from './rank.ts'
import { redact } from './redact.ts'
import { NOT, type Term, termsOf } from './terms.ts'
import { type Token, tokenise } from './tokens.ts'
import { type OpenWord, openWords, withBothMeanings } from './two-meanings.ts'

/** Something that a text may mean; never more than that until a person has confirmed it. */
export interface Suggested {
  id: string
  kind: EntryKind
  /** Result of the check, where it is one. */
  result?: string
  /** "absent" where the text denies it. */
  state: 'present' | 'absent'
  /** 0 to 1, comparable within one text; no probability. */
  score: number
  /** Words of the redacted text that speak for it, in order. */
  matched: string[]
  /** What a meter showed, for a reading. */
  quantity?: { value: number; unit: string }
}

export interface Interpretation {
  /** The text as it may be repeated and kept. */
  redacted: string
  /** Signs of danger, before everything else and never crowded out. */
  dangers: Suggested[]
  suggestions: Suggested[]
  /** Words that leave two meanings open, with the keys of both. */
  questions: { word: string; between: [string, string] }[]
  /** Words that speak for nothing suggested. */
  unmatched: string[]
  /** Terms looked at and words compared. */
  work: number
}

/** Under this score a suggestion would be a guess. Judgement, tried on the tuned half of the utterances. */
const LEAST_SCORE = 0.25
/** More suggestions than a person reads. */
const MOST_SUGGESTIONS = 10
/** A number with a fitting unit or a meter beside it speaks for a reading by itself. Judgement. */
const NUMBER_SCORE = 0.4
/** Places that a number can have been measured at, offered for one number. */
const MOST_PLACES = 3

interface Read {
  tokens: readonly Token[]
  terms: readonly Term[]
  lexicon: PreparedLexicon
}

const writtenAt = ({ tokens }: Read, positions: Iterable<number>) => [
  ...new Set([...positions].sort((a, b) => a - b).map((position) => tokens[position]!.written)),
]
const tokensOf = ({ terms }: Read, at: readonly number[]) => at.flatMap((position) => [...terms[position]!.tokens])

function suggested(read: Read, { entry, score, isDenied: denied, at }: Found): Suggested {
  const { id, kind, result } = read.lexicon.entries[entry]!
  return {
    id,
    kind,
    ...(result === undefined ? {} : { result }),
    state: denied ? 'absent' : 'present',
    score,
    matched: writtenAt(read, tokensOf(read, at)),
  }
}

/** Each number with the places that it can have been measured at, by the words around it. */
function readingsIn(read: Read, found: readonly Found[]): Suggested[] {
  return measuredNumbers(read.tokens).flatMap((number) => {
    const fitting = found.flatMap((one) => {
      const { id, measured } = read.lexicon.entries[one.entry]!
      const isNear = one.at.some((position) => read.terms[position]!.sentence === number.sentence)
      const quantity = measured && isNear ? asReading(number, measured) : undefined
      if (!quantity) return []
      const tokens = [...tokensOf(read, one.at), ...number.tokens]
      const score = NUMBER_SCORE + (1 - NUMBER_SCORE) * one.score
      const matched = writtenAt(read, tokens)
      return [{ id, kind: 'reading' as const, state: 'present' as const, score, matched, quantity }]
    })
    return fitting.sort((a, b) => b.score - a.score || (a.id < b.id ? -1 : 1)).slice(0, MOST_PLACES)
  })
}

const byScore = (a: Suggested, b: Suggested) =>
  Number(a.state === 'absent') - Number(b.state === 'absent') || b.score - a.score || (keyOf(a) < keyOf(b) ? -1 : 1)

function unmatchedOf({ tokens, terms, lexicon }: Read, used: ReadonlySet<string>): string[] {
  const { stop, negators, breakers } = lexicon.grammar
  const inTerms = new Set(terms.filter(({ key }) => key !== NOT).flatMap((term) => [...term.tokens]))
  const left = tokens.filter(({ surface, written, kind }, at) => {
    const isEmpty = kind === 'number' || stop.has(surface) || negators.has(surface) || breakers.has(surface)
    return !isEmpty && inTerms.has(at) && !used.has(written)
  })
  return [...new Set(left.map(({ written }) => written))]
}

interface Judged {
  said: Found[]
  readings: Found[]
  open: OpenWord[]
}

/** What the phrases of the lexicon find in a text, with the words that stay open. */
function judge({ terms, lexicon }: Read, counted: (looks: number) => void): Judged {
  const isReading = ({ entry }: { entry: number }) => lexicon.entries[entry]!.kind === 'reading'
  const matches = matchesIn(terms, lexicon, counted)
    .map((match) => ({ ...match, isDenied: isDenied(match, terms, lexicon.grammar) }))
    // "No telephone line" denies nothing of "telephone line missing": half a phrase under a "no" says neither.
    .filter((match) => match.isWhole || !match.isDenied)
  const said = matches.filter((match) => !isReading(match))
  return {
    said: foundOf(said, terms, lexicon),
    readings: foundOf(matches.filter(isReading), terms, lexicon),
    open: openWords(terms, said, lexicon),
  }
}

/** Signs of danger as they were found, everything else in its order of merit, both with the meanings that stay open. */
function ranked({ terms, lexicon }: Read, { said, open }: Judged): { dangers: Found[]; troubles: Found[] } {
  const isDanger = ({ entry }: Found) => lexicon.entries[entry]!.kind === 'danger'
  const isClear = ({ score }: Found) => score >= LEAST_SCORE
  const others = said.filter((one) => !isDanger(one))
  const clear = lastResortsLast(explainAway(others, terms, lexicon).filter(isClear), lexicon)
  const all = withBothMeanings([...said.filter(isDanger), ...clear], open).filter(isClear)
  return {
    dangers: all.filter((one) => isDanger(one) && !one.isDenied),
    troubles: all.filter((one) => !isDanger(one)),
  }
}

/**
 * What a caller's own words may mean: signs of danger first, then conditions, circumstances, answers and measurements, each
 * with the words that speak for it. It suggests and never asserts; a sign of danger that is denied is left open, to be asked.
 *
 * @param text - any text; it is redacted before anything else is done with it
 * @returns suggestions by falling score, denied ones last; scores have no unit and compare within one text only
 * @throws nothing
 * @validity the words of the lexicon; work grows with the text's words times the phrases that share a word with it
 * @source own-derivation; the coefficients are judgement, tuned on one half of the written utterances
 * @example interpret(prepareLexicon(lexicon), 'no AC and low battery').suggestions[0].id // 'condition/mains-missing'
 */
export function interpret(lexicon: PreparedLexicon, text: string): Interpretation {
  let work = 0
  const counted = (more: number) => {
    work += more
  }
  const redacted = redact(text)
  const { spelling, known, grammar, same, entries } = lexicon
  const tokens = tokenise(redacted, grammar)
  const terms = termsOf(tokens, grammar, same, { spelling, known, counted })
  const read: Read = { tokens, terms, lexicon }
  const judged = judge(read, counted)
  const found = ranked(read, judged)
  const dangers = found.dangers.map((one) => suggested(read, one)).sort(byScore)
  const suggestions = [...found.troubles.map((one) => suggested(read, one)), ...readingsIn(read, judged.readings)]
    .sort(byScore)
    .slice(0, MOST_SUGGESTIONS)
  const keyAt = (entry: number) => keyOf(entries[entry]!)
  return {
    redacted,
    dangers,
    suggestions,
    questions: judged.open.map(({ word, between: [one, other] }) => ({ word, between: [keyAt(one), keyAt(other)] })),
    unmatched: unmatchedOf(read, new Set([...dangers, ...suggestions].flatMap(({ matched }) => matched))),
    work,
  }
}
