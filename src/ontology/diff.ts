import { allConcepts } from './concepts.ts'
import type { Kind, Ontology } from './shape.ts'

/**
 * What changed between two editions, keyed by concept id.
 * breaking: an id is gone or something a consumer relies on means something else;
 * numeric: a probability, time or edge moved, so answers differ; compatible: something was added or deprecated;
 * editorial: words only.
 */
export const CHANGE_CLASSES = ['breaking', 'numeric', 'compatible', 'editorial'] as const
export type ChangeClass = (typeof CHANGE_CLASSES)[number]

export interface FieldChange {
  /** JSON pointer into the concept. */
  path: string
  class: ChangeClass
  before?: unknown
  after?: unknown
}
export interface ConceptChange {
  id: string
  kind: Kind | 'crosswalk'
  change: 'added' | 'removed' | 'deprecated' | 'changed'
  /** The gravest class among its fields. */
  class: ChangeClass
  fields: FieldChange[]
}

/** Fields whose change alters what a concept is or what a consumer may send. */
const MEANING =
  /^\/(?:nature|scope|family|unit|quantity|dimension|group|model\/kind|model\/positive|model\/negative|other)$/
const WORDS =
  /^\/(?:label|lay|definition|note|protection|clears|ask|how|point|state|rest|destroys|expect|confirm|escalation|afterwards|lift|caution|act|steps|altLabels|hiddenLabels|fewCausesBecause|inseparable)(?:\/|$)|\/(?:label|find|note|reason|basis|source|title|meaning)(?:\/|$)/
/** Closed lists whose entries a consumer may send or store: an entry gone is a break, a new one is an addition. */
const VOCABULARY = /^\/(?:results|bands|attributes|model\/order)(?:\/|$)/
/** What follows from a result or condition moves answers, wherever it is said. */
const FOLLOWS = /\/(?:implies|rulesOut)(?:\/|$)|^\/results\/[^/]+\/clears(?:\/|$)/
const isEmptyList = (value: unknown) => Array.isArray(value) && value.length === 0

/** A list of records is compared by what each record is about, not by its place. */
function keyOf(item: unknown, index: number): string {
  if (typeof item !== 'object' || item === null) return typeof item === 'string' ? item : String(index)
  const record = item as Record<string, unknown>
  const name = record.id ?? record.name ?? record.cause ?? record.condition ?? record.code ?? record.concept
  if (typeof name === 'string') return typeof record.result === 'string' ? `${name} ${record.result}` : name
  return typeof record.result === 'string' ? record.result : String(index)
}

function classOf(path: string, before: unknown, after: unknown): ChangeClass {
  if (MEANING.test(path)) return 'breaking'
  if (WORDS.test(path)) return 'editorial'
  if (FOLLOWS.test(path)) return 'numeric'
  if (path === '/affects' && before === undefined) return 'compatible'
  if (VOCABULARY.test(path)) {
    if (before === undefined) return 'compatible'
    if (after === undefined) return 'breaking'
  }
  return 'numeric'
}

const escaped = (key: string) => key.replaceAll('~', '~0').replaceAll('/', '~1')
const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null

function entriesOf(value: Record<string, unknown> | unknown[]): Map<string, unknown> {
  if (Array.isArray(value)) return new Map(value.map((item, index) => [keyOf(item, index), item]))
  return new Map(Object.entries(value))
}

function compare(path: string, before: unknown, after: unknown, found: FieldChange[]): void {
  const isAbsent = (value: unknown) => value === undefined || isEmptyList(value)
  if (before === after || (isAbsent(before) && isAbsent(after))) return
  if (isRecord(before) && isRecord(after) && Array.isArray(before) === Array.isArray(after)) {
    const [old, current] = [entriesOf(before), entriesOf(after)]
    for (const key of new Set([...old.keys(), ...current.keys()]))
      compare(`${path}/${escaped(key)}`, old.get(key), current.get(key), found)
    return
  }
  const change: FieldChange = { path, class: classOf(path, before, after) }
  if (before !== undefined) change.before = before
  if (after !== undefined) change.after = after
  found.push(change)
}

/** The gravest class in a list; editorial when it is empty. */
export function gravest(classes: readonly ChangeClass[]): ChangeClass {
  return CHANGE_CLASSES.find((name) => classes.includes(name)) ?? 'editorial'
}

function changed(kind: Kind, id: string, before: object, after: object): ConceptChange[] {
  const fields: FieldChange[] = []
  const { status: _old, deprecated: was, ...old } = before as Record<string, unknown>
  const { status: _new, deprecated: is, ...current } = after as Record<string, unknown>
  compare('', old, current, fields)
  const isDeprecated = was === undefined && is !== undefined
  if (!isDeprecated && fields.length === 0) return []
  const classes = fields.map((field) => field.class)
  return [
    {
      id,
      kind,
      change: isDeprecated ? 'deprecated' : 'changed',
      class: gravest(isDeprecated ? [...classes, 'compatible'] : classes),
      fields,
    },
  ]
}

/** Changes of the concepts from one edition to another, in the order of kinds and ids. */
export function diffOntologies(before: Ontology, after: Ontology): ConceptChange[] {
  const old = new Map(allConcepts(before).map((entry) => [entry.concept.id, entry]))
  const current = new Map(allConcepts(after).map((entry) => [entry.concept.id, entry]))
  const ids = [...new Set([...old.keys(), ...current.keys()])].sort()
  const concepts = ids.flatMap((id): ConceptChange[] => {
    const [was, is] = [old.get(id), current.get(id)]
    if (was && is) return changed(is.kind, id, was.concept, is.concept)
    if (is) return [{ id, kind: is.kind, change: 'added', class: 'compatible', fields: [] }]
    return [{ id, kind: was!.kind, change: 'removed', class: 'breaking', fields: [] }]
  })
  return [...concepts, ...crosswalkChanges(before, after)]
}

/** Rows of a crosswalk that came, went or moved, code by code. */
function crosswalkChanges(before: Ontology, after: Ontology): ConceptChange[] {
  const codes = ({ crosswalks }: Ontology) =>
    new Map(crosswalks.flatMap(({ scheme, codes: list }) => list.map((code) => [`code/${scheme}/${code.code}`, code])))
  const [old, current] = [codes(before), codes(after)]
  return [...new Set([...old.keys(), ...current.keys()])].sort().flatMap((id): ConceptChange[] => {
    const [was, is] = [old.get(id), current.get(id)]
    if (!was) return [{ id, kind: 'crosswalk', change: 'added', class: 'compatible', fields: [] }]
    if (!is) return [{ id, kind: 'crosswalk', change: 'removed', class: 'breaking', fields: [] }]
    const fields: FieldChange[] = []
    compare('', was, is, fields)
    return fields.length === 0
      ? []
      : [{ id, kind: 'crosswalk', change: 'changed', class: gravest(fields.map((field) => field.class)), fields }]
  })
}
