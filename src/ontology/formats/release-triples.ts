import { allConcepts } from '../concepts.ts'
import type { LanguagePack } from '../language.ts'
import type { Ontology } from '../shape.ts'
import { codeIri, conceptTriples, iriOf } from './concept-triples.ts'
import { IRI_BASE, SCHEME_IRI } from './predicates.ts'
import { Subject, type Triple } from './triples.ts'

function schemeTriples(ontology: Ontology, version: string, licence: string): Triple[] {
  const subject = new Subject(SCHEME_IRI, []).type('skos:ConceptScheme', 'schema:DefinedTermSet')
  subject.add('title', 'Trouble Atlas').add('versionInfo', version).add('license', licence)
  subject.add(
    'hasTopConcept',
    ontology.family.map(({ id }) => iriOf(id)),
  )
  return subject.triples
}

/** The codes of an open standard as concepts of a scheme of their own, so that mappings lead from concept to concept. */
function codeTriples(ontology: Ontology): Triple[] {
  return ontology.crosswalks.flatMap(({ scheme, title, edition, codes }) => {
    const iri = `${IRI_BASE}code/${scheme}`
    const head = new Subject(iri, []).type('skos:ConceptScheme').add('title', title).add('edition', edition)
    const each = codes.flatMap((code) => {
      const subject = new Subject(codeIri(scheme, code.code), []).type('skos:Concept', 'schema:DefinedTerm')
      subject.add('inScheme', iri).add('notation', code.code).add('termCode', code.code).text('prefLabel', code.title)
      subject.add('trouble', code.trouble).add('standing', code.standing).add('certainty', code.certainty)
      return subject.add('noEquivalent', code.noEquivalent).triples
    })
    return [...head.triples, ...each]
  })
}

/** A whole release as statements. */
export function releaseTriples(
  ontology: Ontology,
  version: string,
  licence: string,
  packs: readonly LanguagePack[],
): Triple[] {
  return [
    ...schemeTriples(ontology, version, licence),
    ...allConcepts(ontology).flatMap((entry) => conceptTriples(ontology, entry, packs)),
    ...codeTriples(ontology),
  ]
}
