import jsonld from 'jsonld'
import { Parser } from 'n3'
import { describe, expect, test } from 'vitest'
import { toJsonLd } from '../../../src/ontology/formats/json-ld.ts'
import { PREFIXES, SCHEME_IRI } from '../../../src/ontology/formats/predicates.ts'
import { releaseTriples } from '../../../src/ontology/formats/release-triples.ts'
import { toTurtle } from '../../../src/ontology/formats/turtle.ts'
import { readLanguages, readSource } from '../../../src/ontology/read-source.ts'

interface Term {
  termType: string
  value: string
  language?: string
  datatype?: { value: string }
}
interface Quad {
  subject: Term
  predicate: Term
  object: Term
}

/** A statement as one line; language tags compare without case (RDF 1.1 Concepts, 3.3). */
const lineOf = ({ subject, predicate, object }: Quad) =>
  [
    subject.value,
    predicate.value,
    object.termType,
    object.value,
    (object.language ?? '').toLowerCase(),
    object.datatype?.value ?? '',
  ].join('\u0001')

const triples = releaseTriples(readSource('ontology/source'), '9.9.9', 'CC BY 4.0', readLanguages('ontology/languages'))
const turtle = new Parser().parse(toTurtle(triples)) as unknown as Quad[]
const graph = (await jsonld.toRDF(toJsonLd(triples) as never)) as unknown as Quad[]

test('Turtle and JSON-LD, read back by independent parsers, state the same triples', () => {
  const [fromTurtle, fromJsonLd] = [new Set(turtle.map(lineOf)), new Set(graph.map(lineOf))]
  console.info(`linked data: ${fromTurtle.size} triples from Turtle, ${fromJsonLd.size} from JSON-LD`)
  expect(fromTurtle.size).toBeGreaterThan(10_000)
  expect([...fromTurtle].filter((line) => !fromJsonLd.has(line))).toEqual([])
  expect([...fromJsonLd].filter((line) => !fromTurtle.has(line))).toEqual([])
})

test('every text survives both forms with its quotes, backslashes and line breaks', async () => {
  const odd = { subject: `${PREFIXES.def}x`, predicate: 'prefLabel' }
  const values = ['say "no"', 'back\\slash', 'two\nlines', "it's", '\u00a0\u2028', '@en', 'tab\there', '\ud83d\udd0b']
  const statements = values.map((value) => ({ ...odd, object: { value, language: 'en-GB' } }))
  const read = (quads: Quad[]) => quads.map(({ object }) => object.value).sort()
  expect(read(new Parser().parse(toTurtle(statements)) as unknown as Quad[])).toEqual([...values].sort())
  expect(read((await jsonld.toRDF(toJsonLd(statements) as never)) as unknown as Quad[])).toEqual([...values].sort())
})

const SKOS = PREFIXES.skos
const objectsOf = (predicate: string) => {
  const found = new Map<string, Term[]>()
  for (const quad of turtle)
    if (quad.predicate.value === SKOS + predicate)
      found.set(quad.subject.value, [...(found.get(quad.subject.value) ?? []), quad.object])
  return found
}

describe('the integrity conditions of SKOS hold', () => {
  const label = ({ value, language = '' }: Term) => `${value}@${language}`

  test('a concept has at most one preferred label in a language (S14)', () => {
    for (const [subject, labels] of objectsOf('prefLabel')) {
      const languages = labels.map(({ language }) => language)
      expect(new Set(languages).size, subject).toBe(languages.length)
    }
  })

  test('preferred, alternative and hidden labels of a concept differ (S13)', () => {
    const classes = ['prefLabel', 'altLabel', 'hiddenLabel'].map(objectsOf)
    for (const subject of classes[0]!.keys()) {
      const all = classes.flatMap((own) => (own.get(subject) ?? []).map(label))
      expect(new Set(all).size, subject).toBe(all.length)
    }
  })

  test('related concepts are not broader ones, however many steps away (S27)', () => {
    const broader = objectsOf('broader')
    const above = (iri: string): string[] => (broader.get(iri) ?? []).flatMap(({ value }) => [value, ...above(value)])
    for (const [subject, related] of objectsOf('related'))
      for (const { value } of related) {
        expect(above(subject), subject).not.toContain(value)
        expect(above(value), value).not.toContain(subject)
      }
  })

  test('relatedness is stated both ways', () => {
    const related = objectsOf('related')
    for (const [subject, list] of related)
      for (const { value } of list)
        expect(
          (related.get(value) ?? []).map((term) => term.value),
          value,
        ).toContain(subject)
  })

  test('an exact match is neither a broad nor a related match (S46)', () => {
    const exact = objectsOf('exactMatch')
    const loose = ['broadMatch', 'narrowMatch', 'relatedMatch'].map(objectsOf)
    for (const [subject, matches] of exact)
      for (const { value } of matches)
        for (const other of loose)
          expect(
            (other.get(subject) ?? []).map((term) => term.value),
            subject,
          ).not.toContain(value)
  })

  test('mappings lead to concepts of another scheme', () => {
    const scheme = new Map([...objectsOf('inScheme')].map(([subject, [first]]) => [subject, first!.value]))
    for (const property of ['exactMatch', 'broadMatch', 'narrowMatch', 'relatedMatch'])
      for (const [subject, matches] of objectsOf(property)) {
        expect(scheme.get(subject)).toBe(SCHEME_IRI)
        for (const { value } of matches) expect(scheme.get(value), value).toMatch(/\/code\//)
      }
  })

  test('top concepts name the scheme and the scheme names them', () => {
    const tops = [...objectsOf('topConceptOf').keys()].sort()
    expect(tops).toEqual((objectsOf('hasTopConcept').get(SCHEME_IRI) ?? []).map(({ value }) => value).sort())
    expect(tops).toHaveLength(11)
  })
})
