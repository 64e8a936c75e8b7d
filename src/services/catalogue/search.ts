import { readGtin } from '../../domain/parts/gtin.ts'
import { itemWords, type SearchUnit, searchUnits } from '../../domain/parts/search-words.ts'
import { editDistance } from '../../domain/words/edit-distance.ts'
import type { CatalogueItem } from '../../store/catalogue/rows.ts'
import {
  type Facets,
  findByNumber,
  findByWords,
  readFacets,
  vocabularyLike,
  type WordQuery,
} from '../../store/catalogue/search.ts'
import type { Database } from '../../store/database.ts'

/** How a word of the question was found in an item. */
export interface Why {
  asked: string
  /** The word that stands in the item; absent where it was not found. */
  found?: string
  how: 'exact' | 'beginning' | 'spelling' | 'missing'
  in?: 'title' | 'numbers' | 'others'
}
export interface Hit {
  item: CatalogueItem
  why: Why[]
}
export interface SearchAnswer {
  hits: Hit[]
  /** Items with all words of the question, or with some where none has all. */
  total: number
  isPartial: boolean
  corrections: { asked: string; meant: string[] }[]
  facets: Facets
}
export interface SearchFilter {
  partClass?: string | undefined
  isInStock?: boolean | undefined
  attributes?: Readonly<Record<string, string>> | undefined
}

/** Edits forgiven in a word of so many letters; none in a number or a code. */
const allowedEdits = (word: string) => (!/^\p{L}{4,24}$/u.test(word) ? 0 : word.length < 8 ? 1 : 2)
const MOST_MEANT = 4

/** What the words of a shop's items a misspelt word may be: the nearest, at most a few. */
function nearest(asked: string, vocabulary: readonly string[]): string[] {
  const most = allowedEdits(asked)
  const ranked = vocabulary
    .map((word) => ({ word, edits: editDistance(asked, word, most) }))
    .filter(({ edits }) => edits <= most)
    .sort((a, b) => a.edits - b.edits || (a.word < b.word ? -1 : 1))
  return ranked
    .filter(({ edits }) => edits === ranked[0]!.edits)
    .map(({ word }) => word)
    .slice(0, MOST_MEANT)
}

/** Words that stand in no item, with what they may have meant. */
async function corrected(database: Database, shop: string, units: readonly SearchUnit[]) {
  const corrections: SearchAnswer['corrections'] = []
  for (const { written } of units.filter(({ written: word }) => allowedEdits(word) > 0)) {
    const vocabulary = await vocabularyLike(database, shop, written.length, allowedEdits(written))
    if (vocabulary.some((word) => word.startsWith(written))) continue
    const meant = nearest(written, vocabulary)
    if (meant.length > 0) corrections.push({ asked: written, meant })
  }
  return corrections
}

function whyOf(item: CatalogueItem, units: readonly SearchUnit[], corrections: SearchAnswer['corrections']): Why[] {
  const words = itemWords(item)
  const places = Object.entries(words) as [Why['in'] & string, string[]][]
  return units.map(({ written: asked, forms, isNumber }) => {
    for (const [place, list] of places)
      if (forms.some((form) => form.every((word) => list.includes(word))))
        return { asked, found: asked, how: 'exact', in: place }
    for (const [place, list] of places) {
      const found = isNumber ? undefined : list.find((word) => word.startsWith(asked))
      if (found !== undefined) return { asked, found, how: 'beginning', in: place }
    }
    const meant = corrections.find((correction) => correction.asked === asked)?.meant ?? []
    for (const [place, list] of places) {
      const found = list.find((word) => meant.some((one) => word.startsWith(one)))
      if (found !== undefined) return { asked, found, how: 'spelling', in: place }
    }
    return { asked, how: 'missing' }
  })
}

/** Items whose SKU, GTIN or maker's number is what was asked. */
async function byNumber(database: Database, shop: string, text: string, filter: SearchFilter): Promise<Hit[]> {
  const asked = text.trim()
  const { gtin14 } = readGtin(asked)
  const items = await findByNumber(database, shop, { asked, gtin14 }, filter)
  return items.map((item) => ({
    item,
    why: [
      {
        asked,
        found: item.sku === asked || item.mpn === asked ? asked : (item.gtin14 ?? item.sku),
        how: 'exact',
        in: 'numbers',
      },
    ],
  }))
}

/**
 * Items of a shop for what somebody types: an exact number first, then items with every word. Words may be begun or misspelt;
 * numbers and codes are found exactly or not at all. Where no item has all words, those that have some.
 */
export async function searchCatalogue(
  database: Database,
  shop: string,
  text: string,
  filter: SearchFilter,
  limit: number,
): Promise<SearchAnswer> {
  const units = searchUnits(text)
  const numbered = await byNumber(database, shop, text, filter)
  const plainly = units.map((unit) => ({ ...unit, meant: [] as string[] }))
  let query: WordQuery = { units: plainly, needs: 'all' }
  let found = await findByWords(database, shop, query, filter, limit)
  let corrections: SearchAnswer['corrections'] = []
  if (found.length === 0 && numbered.length === 0 && units.length > 0) {
    corrections = await corrected(database, shop, units)
    const meantBy = new Map(corrections.map(({ asked, meant }) => [asked, meant]))
    const meant = plainly.map((unit) => ({ ...unit, meant: meantBy.get(unit.written) ?? [] }))
    query = { units: meant, needs: 'all' }
    if (corrections.length > 0) found = await findByWords(database, shop, query, filter, limit)
    for (const needs of units.length > 2 ? (['all-but-one', 'any'] as const) : (['any'] as const)) {
      if (found.length > 0 || units.length < 2) break
      query = { units: meant, needs }
      found = await findByWords(database, shop, query, filter, limit)
    }
  }
  const known = new Set(numbered.map(({ item }) => item.sku))
  const others = found
    .filter(({ sku }) => !known.has(sku))
    .map((item) => ({ item, why: whyOf(item, units, corrections) }))
  const { total, ...facets } = await readFacets(database, shop, query, filter)
  return {
    hits: [...numbered, ...others].slice(0, limit),
    total: Math.max(total, numbered.length),
    isPartial: query.needs !== 'all' && found.length > 0,
    corrections,
    facets,
  }
}
