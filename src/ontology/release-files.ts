import { compileOntology } from './compile.ts'
import { type ConceptChange, diffOntologies, gravest } from './diff.ts'
import { fileOf } from './file-names.ts'
import { conceptsCsv } from './formats/csv.ts'
import { toJsonLd } from './formats/json-ld.ts'
import { publishedJsonSchema } from './formats/json-schema.ts'
import { IRI_BASE, jsonLdContext } from './formats/predicates.ts'
import { releaseTriples } from './formats/release-triples.ts'
import { toTurtle } from './formats/turtle.ts'
import type { LanguagePack } from './language.ts'
import { overlayJsonSchema } from './overlay.ts'
import { KINDS, type Ontology } from './shape.ts'

export const LICENCE = 'CC BY 4.0'
export interface ReleaseFile {
  name: string
  mediaType: string
  text: string
}
export interface Edition {
  version: string
  ontology: Ontology
  packs: readonly LanguagePack[]
  previous?: { version: string; ontology: Ontology }
}

const pretty = (value: unknown) => `${JSON.stringify(value, null, 2)}\n`
const compact = (value: unknown) => `${JSON.stringify(value)}\n`

/** Changes from one edition to another as published. */
export function changesDocument(since: string, release: string, changes: readonly ConceptChange[]) {
  return { since, release, class: gravest(changes.map((change) => change.class)), changes }
}

/** Every file of an edition but its manifest. */
export function releaseFiles({ version, ontology, packs, previous }: Edition): ReleaseFile[] {
  const head = { release: version, licence: LICENCE, iriBase: IRI_BASE }
  const triples = releaseTriples(ontology, version, LICENCE, packs)
  const compiled = compileOntology(ontology, version)
  const document = { ...head, ...ontology }
  const changes = previous
    ? changesDocument(previous.version, version, diffOntologies(previous.ontology, ontology))
    : undefined
  const json = (name: string, text: string, mediaType = 'application/json') => ({ name, mediaType, text })
  return [
    json('ontology.json', pretty(document)),
    json('compiled.json', compact(compiled)),
    json('context.jsonld', pretty({ '@context': jsonLdContext() }), 'application/ld+json'),
    json('ontology.jsonld', compact(toJsonLd(triples)), 'application/ld+json'),
    { name: 'ontology.ttl', mediaType: 'text/turtle', text: toTurtle(triples) },
    json('ontology.schema.json', pretty(publishedJsonSchema()), 'application/schema+json'),
    json('overlay.schema.json', pretty(overlayJsonSchema()), 'application/schema+json'),
    ...KINDS.map((kind) => ({
      name: fileOf(kind).replace('.json', '.csv'),
      mediaType: 'text/csv',
      text: conceptsCsv(ontology, kind),
    })),
    ...packs.map((pack) => json(`language-${pack.language}.json`, pretty(pack))),
    ...(changes ? [json('changes.json', pretty(changes))] : []),
    json('bundle.json', compact({ ...head, ontology: document, compiled, languages: packs, changes })),
  ]
}
