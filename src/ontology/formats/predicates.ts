/**
 * Namespaces and predicates of the linked-data forms: one table from which triples, JSON-LD context and Turtle prefixes
 * are made. IRIs of SKOS, Dublin Core and OWL from memory; schema.org, QUDT and SOSA terms as their repositories hold them.
 */

/** Provisional throughout 0.x: a reserved domain that no one resolves. */
export const IRI_ROOT = 'https://trouble-atlas.example/'
export const IRI_BASE = `${IRI_ROOT}id/`
export const SCHEME_IRI = `${IRI_ROOT}scheme`

export const PREFIXES = {
  def: `${IRI_ROOT}def/`,
  dcterms: 'http://purl.org/dc/terms/',
  owl: 'http://www.w3.org/2002/07/owl#',
  qudt: 'http://qudt.org/vocab/quantitykind/',
  rdf: 'http://www.w3.org/1999/02/22-rdf-syntax-ns#',
  schema: 'https://schema.org/',
  skos: 'http://www.w3.org/2004/02/skos/core#',
  sosa: 'http://www.w3.org/ns/sosa/',
  unit: 'http://qudt.org/vocab/unit/',
  xsd: 'http://www.w3.org/2001/XMLSchema#',
} as const

/** What a predicate's objects are: things, texts in a language, plain strings or typed values. */
export type ObjectKind = 'iri' | 'text' | 'string' | 'decimal' | 'integer' | 'boolean'

const own = (kind: ObjectKind, ...names: string[]) =>
  Object.fromEntries(names.map((name) => [name, { iri: `${PREFIXES.def}${name}`, kind }]))
const of = (prefix: keyof typeof PREFIXES, kind: ObjectKind, ...names: string[]) =>
  Object.fromEntries(names.map((name) => [name, { iri: `${PREFIXES[prefix]}${name}`, kind }]))

/** Name in JSON-LD -> IRI and kind of object. */
export const PREDICATES: Readonly<Record<string, { iri: string; kind: ObjectKind }>> = {
  ...of('skos', 'text', 'prefLabel', 'altLabel', 'hiddenLabel', 'definition', 'scopeNote', 'changeNote'),
  ...of('skos', 'string', 'notation'),
  ...of('skos', 'iri', 'inScheme', 'topConceptOf', 'hasTopConcept', 'broader', 'related'),
  ...of('skos', 'iri', 'exactMatch', 'broadMatch', 'narrowMatch', 'relatedMatch'),
  ...of('schema', 'iri', 'inDefinedTermSet'),
  ...of('schema', 'string', 'termCode', 'unitCode'),
  ...of('dcterms', 'iri', 'isReplacedBy'),
  ...of('dcterms', 'string', 'title', 'license', 'source'),
  ...of('owl', 'string', 'versionInfo'),
  ...of('owl', 'boolean', 'deprecated'),
  ...own('text', 'layLabel', 'protection', 'clears', 'escalation', 'ask', 'how', 'point', 'state', 'rest', 'destroys'),
  ...own('text', 'expect', 'confirm', 'text', 'caution', 'act', 'find', 'again', 'afterwards', 'lift'),
  ...own(
    'iri',
    'condition',
    'cause',
    'rootOf',
    'excludedBy',
    'hazard',
    'takesReading',
    'establishes',
    'stopIf',
    'about',
    'askFirst',
  ),
  ...own('iri', 'shows', 'fixes', 'shifts', 'speaksOf', 'needsPart', 'attribute', 'result', 'band', 'step', 'requires'),
  ...own('iri', 'accessoryTo', 'substitute', 'saleNote'),
  ...own('iri', 'implies', 'rulesOut', 'requiresAny', 'notWith', 'onlyWith', 'clearsCondition', 'danger', 'afterTrial'),
  ...own('iri', 'baseRate', 'leak', 'share', 'probability', 'quantityKind', 'unit', 'check'),
  ...own('string', 'status', 'deprecatedSince', 'nature', 'severity', 'latch', 'scope', 'place', 'who', 'tool'),
  ...own('string', 'disturbs', 'modelKind', 'level', 'basis', 'dimension', 'group', 'cost', 'role', 'valueType'),
  ...own('string', 'name', 'unitText', 'edition', 'certainty', 'noEquivalent', 'allowedValue'),
  ...own('string', 'fitRule', 'fixedValue', 'region', 'unNumber'),
  ...own('decimal', 'value', 'factor', 'minutes', 'waitMinutes', 'upTo', 'validLow', 'validHigh'),
  ...own('integer', 'order'),
  ...own('boolean', 'isOther', 'onDisplay', 'lowersSecurity', 'healthy', 'trouble', 'standing'),
}

const CONTEXT_TYPES: Record<ObjectKind, Record<string, string>> = {
  iri: { '@type': '@id' },
  text: { '@container': '@language' },
  string: {},
  decimal: { '@type': 'xsd:decimal' },
  integer: { '@type': 'xsd:integer' },
  boolean: { '@type': 'xsd:boolean' },
}

/** The JSON-LD 1.1 context of every document of this ontology. */
export function jsonLdContext(): Record<string, unknown> {
  const terms = Object.entries(PREDICATES).map(([name, { iri, kind }]) => [
    name,
    { '@id': iri, ...CONTEXT_TYPES[kind] },
  ])
  return { '@version': 1.1, ...PREFIXES, id: '@id', type: '@type', graph: '@graph', ...Object.fromEntries(terms) }
}
