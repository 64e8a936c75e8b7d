import type { Lexicon, LexiconEntry, Phrase } from '../domain/words/lexicon.ts'
import { type PreparedLexicon, prepareLexicon } from '../domain/words/prepare.ts'
import type { LanguagePack } from '../ontology/language.ts'
import type { Release } from '../ontology/release.ts'
import type { Text } from '../ontology/shape.ts'
import type { EverydayWords } from '../ontology/words.ts'
import { everydayWords } from './everyday-words.ts'

const ENGLISH = 'en-US'
/** Beeps and lights come with every trouble, so they only stand for this where no other is named. */
const LAST_RESORT = 'condition/unspecified-trouble'
/** How much a phrase says by where it comes from. Judgement. */
const WEIGHT = { label: 1, lay: 0.9, other: 1, hidden: 0.95, everyday: 1, translated: 0.95 } as const

interface Named {
  id: string
  label: Text
  lay?: Text | undefined
  altLabels: readonly string[]
  hiddenLabels: readonly string[]
}
type Source = keyof typeof WEIGHT

const phrase = (source: Source, text: string, language = ENGLISH): Phrase => ({
  text,
  weight: WEIGHT[source],
  language,
})
const inEnglish = (source: Source, text: Text | undefined) =>
  [...new Set(Object.values(text ?? {}))].flatMap((words) => (words === undefined ? [] : [phrase(source, words)]))

const english = () => everydayWords('en')!

/** What callers say for a key, in the language of the words. */
const everyday = (key: string, words: EverydayWords | undefined, language = ENGLISH) =>
  words && Object.hasOwn(words.phrases, key)
    ? words.phrases[key]!.map((text) => phrase('everyday', text, language))
    : []

/** Everything that a concept is called, in English and in a pack. */
function namesOf({ id, label, lay, altLabels, hiddenLabels }: Named, pack: LanguagePack | undefined): Phrase[] {
  const translated = pack ? [pack.texts[id]?.label, pack.texts[id]?.lay].filter((text) => text !== undefined) : []
  return [
    ...inEnglish('label', label),
    ...inEnglish('lay', lay),
    ...altLabels.map((text) => phrase('other', text)),
    ...hiddenLabels.map((text) => ({ ...phrase('hidden', text), isDoubtful: true })),
    ...translated.map((text) => phrase('translated', text, pack!.language)),
  ]
}

function entriesOf({ ontology }: Release, pack: LanguagePack | undefined): LexiconEntry[] {
  const named = (concept: Named, key = concept.id) => [
    ...namesOf(concept, pack),
    ...everyday(key, english()),
    ...(pack ? everyday(key, everydayWords(pack.language), pack.language) : []),
  ]
  const answers = ontology.check.flatMap((check): LexiconEntry[] => {
    const { id, model, results } = check
    if (model.kind === 'danger') return [{ id, kind: 'danger', result: model.sign, phrases: named(check) }]
    return results
      .map(
        (result): LexiconEntry => ({
          id,
          kind: 'check-result',
          result: result.id,
          phrases: everyday(`${id}=${result.id}`, english()),
        }),
      )
      .filter(({ phrases }) => phrases.length > 0)
  })
  return [
    ...ontology.condition.map((concept): LexiconEntry => {
      const entry = { id: concept.id, kind: 'condition', phrases: named(concept) } as const
      return concept.id === LAST_RESORT ? { ...entry, isLastResort: true } : entry
    }),
    ...ontology.context.map((concept): LexiconEntry => ({ id: concept.id, kind: 'context', phrases: named(concept) })),
    ...answers,
    ...ontology.reading.map((concept): LexiconEntry => {
      const { unit, validRange } = concept
      return { id: concept.id, kind: 'reading', phrases: named(concept), measured: { unit, ...validRange } }
    }),
  ]
}

/** The key of a danger among the words of two meanings carries no result there: its sign belongs to the release. */
function meaningsIn(entries: readonly LexiconEntry[]): Lexicon['twoMeanings'] {
  const signs = new Map(
    entries.flatMap(({ id, kind, result }) => (kind === 'danger' ? [[id, `${id}=${result}`]] : [])) as [
      string,
      string,
    ][],
  )
  const keyed = (key: string) => signs.get(key) ?? key
  return english().twoMeanings.map(({ word, said, between }) => ({
    word,
    said,
    between: [keyed(between[0]), keyed(between[1])],
  }))
}

/** The words of a release in a language: names of its conditions, circumstances, danger checks and readings, and what callers say for them. */
export function lexiconOf(release: Release, language: string, pack?: LanguagePack): Lexicon {
  const entries = entriesOf(release, pack)
  return { language, entries, same: english().sameWords, twoMeanings: meaningsIn(entries) }
}

const made = new WeakMap<Release, Map<string, PreparedLexicon>>()

/** The lexicon of a release in a served language, made once. */
export function preparedLexicon(release: Release, language: string, pack?: LanguagePack): PreparedLexicon {
  const ofRelease = made.get(release) ?? new Map<string, PreparedLexicon>()
  made.set(release, ofRelease)
  const lexicon = ofRelease.get(language) ?? prepareLexicon(lexiconOf(release, language, pack))
  ofRelease.set(language, lexicon)
  return lexicon
}
