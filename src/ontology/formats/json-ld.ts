import { jsonLdContext, PREDICATES } from './predicates.ts'
import type { Triple, TripleObject } from './triples.ts'

const single = <T>(values: T[]): T | T[] => (values.length === 1 ? values[0]! : values)

function plain(object: TripleObject): string | boolean {
  if ('iri' in object) return object.iri
  if ('kind' in object && object.kind === 'boolean') return object.value === 'true'
  return object.value
}

/** Texts as a map from language to one or more texts. */
function languageMap(objects: readonly TripleObject[]): Record<string, string | string[]> {
  const byLanguage = Map.groupBy(objects, (object) => ('language' in object ? object.language : ''))
  return Object.fromEntries(
    [...byLanguage].map(([language, same]) => [language, single(same.map((object) => plain(object) as string))]),
  )
}

function nodeOf(subject: string, triples: readonly Triple[]): Record<string, unknown> {
  const byPredicate = Map.groupBy(triples, ({ predicate }) => predicate)
  const fields = [...byPredicate].map(([predicate, same]): [string, unknown] => {
    const objects = same.map(({ object }) => object)
    return [predicate, PREDICATES[predicate]?.kind === 'text' ? languageMap(objects) : single(objects.map(plain))]
  })
  return { id: subject, ...Object.fromEntries(fields) }
}

/** Statements as a JSON-LD 1.1 document that carries its own context. */
export function toJsonLd(triples: readonly Triple[]): Record<string, unknown> {
  const bySubject = Map.groupBy(triples, ({ subject }) => subject)
  return { '@context': jsonLdContext(), graph: [...bySubject].map(([subject, own]) => nodeOf(subject, own)) }
}
