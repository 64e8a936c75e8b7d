import MiniSearch from 'minisearch'
import { codesOf } from '../ontology/crosswalk.ts'
import type { LanguagePack } from '../ontology/language.ts'
import type { Release } from '../ontology/release.ts'

/** Where a concept was found: in a name, in a retired or misspelt name, in its definition, or by a code of a standard. */
export type FoundIn = 'label' | 'other-name' | 'retired-name' | 'definition' | 'code'
export interface Hit {
  id: string
  foundIn: FoundIn
  /** For a code: whether upper and lower case agreed. */
  caseExact?: boolean
}

const FIELD: Record<string, FoundIn> = {
  label: 'label',
  other: 'other-name',
  hidden: 'retired-name',
  definition: 'definition',
}
const BOOST = { label: 4, other: 3, hidden: 2, definition: 1 }

/** Numbers and codes are never guessed at; words are, the more the longer they are. */
const allowedTypos = (term: string) => (/\d/.test(term) || term.length < 4 ? false : term.length < 8 ? 1 : 2)

interface Index {
  words: MiniSearch
  /** The fewer words a name has, the more each of them says. */
  brevity: Map<string, number>
  codes: { id: string; code: string }[]
}
const made = new WeakMap<Release, Map<string, Index>>()

function build(release: Release, packs: readonly LanguagePack[]): Index {
  const words = new MiniSearch({ fields: Object.keys(BOOST), idField: 'id' })
  const concepts = [...release.concepts.values()]
  words.addAll(
    concepts.map(({ concept }) => {
      const { id, label, lay, altLabels, hiddenLabels, definition } = concept
      const translated = packs.flatMap(({ texts }) => [texts[id]?.label ?? '', texts[id]?.lay ?? ''])
      return {
        id,
        label: `${Object.values(label).join(' ')} ${id.replace(/[/~-]/g, ' ')}`,
        other: [...Object.values(lay ?? {}), ...altLabels, ...translated].join(' '),
        hidden: hiddenLabels.join(' '),
        definition: definition['en-US'],
      }
    }),
  )
  const codes = release.ontology.condition.flatMap(({ id }) =>
    codesOf(release.ontology.crosswalks, id).flatMap(({ scheme, code }) => [
      { id, code },
      { id, code: `${scheme} ${code}` },
    ]),
  )
  const wordsIn = (text: string) => text.split(/\s+/).length
  const brevity = new Map(concepts.map(({ concept }) => [concept.id, 1 / wordsIn(concept.label['en-US'])]))
  return { words, brevity, codes }
}

function indexOf(release: Release, packs: readonly LanguagePack[]): Index {
  const key = packs.map(({ language }) => language).join(' ')
  const byLanguages = made.get(release) ?? new Map<string, Index>()
  made.set(release, byLanguages)
  const index = byLanguages.get(key) ?? build(release, packs)
  byLanguages.set(key, index)
  return index
}

function byCode({ codes }: Index, text: string): Hit[] {
  const wanted = text.trim()
  const hits = codes
    .filter(({ code }) => code.toLowerCase() === wanted.toLowerCase())
    .map(({ id, code }): Hit => ({ id, foundIn: 'code', caseExact: code === wanted }))
  return hits.sort((a, b) => Number(b.caseExact) - Number(a.caseExact) || (a.id < b.id ? -1 : 1))
}

/** Concepts that answer to the words, best first: by exact code, then with every word, typing errors forgiven. */
export function searchConcepts(release: Release, packs: readonly LanguagePack[], text: string): Hit[] {
  const index = indexOf(release, packs)
  const found = index.words.search(text, {
    boost: BOOST,
    combineWith: 'AND',
    fuzzy: allowedTypos,
    prefix: (term) => !/\d/.test(term) && term.length > 1,
    boostDocument: (id) => index.brevity.get(id as string) ?? 1,
  })
  const ranked = found
    .sort((a, b) => b.score - a.score || (a.id < b.id ? -1 : 1))
    .map(({ id, match }): Hit => {
      const fields = new Set(Object.values(match).flat())
      const best = Object.keys(BOOST).find((field) => fields.has(field)) ?? 'definition'
      return { id, foundIn: FIELD[best]! }
    })
  const codes = byCode(index, text)
  const known = new Set(codes.map(({ id }) => id))
  return [...codes, ...ranked.filter(({ id }) => !known.has(id))]
}
