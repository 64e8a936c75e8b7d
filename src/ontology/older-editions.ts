import { KINDS, type Ontology } from './shape.ts'

type Concept = { id: string }
const added = (list: readonly Concept[] | undefined, fields: object) =>
  (list ?? []).map((concept) => ({ ...fields, ...concept }))

const NOT_STATED = { 'en-US': 'Not stated in this edition.' }

/**
 * A published edition in today's shape. Before 0.2.0 there were no families and no crosswalks, no hidden labels and no
 * pairs listed as inseparable; before 0.3.0 no prologue of a call; every reading was the system's, and not all said how long
 * to rest or what they destroy.
 */
export function inTodaysShape(published: Partial<Ontology>): Ontology {
  if (published.family !== undefined) return { prologue: [], ...published } as Ontology
  const lists = Object.fromEntries(KINDS.map((kind) => [kind, added(published[kind], { hiddenLabels: [] })]))
  return {
    prologue: [],
    crosswalks: [],
    codeMaps: [],
    ...published,
    ...lists,
    condition: added(lists.condition, { inseparable: [] }),
    reading: added(lists.reading, { scope: 'system', rest: NOT_STATED, destroys: NOT_STATED }),
  } as unknown as Ontology
}
