import { KINDS, type Ontology } from './shape.ts'

type Concept = { id: string }
const added = (list: readonly Concept[] | undefined, fields: object) =>
  (list ?? []).map((concept) => ({ ...fields, ...concept }))

/**
 * A published edition in today's shape. Before 0.2.0 there were no families and no crosswalks, no hidden labels and no
 * pairs listed as inseparable, and every reading was the system's.
 */
export function inTodaysShape(published: Partial<Ontology>): Ontology {
  if (published.family !== undefined) return published as Ontology
  const lists = Object.fromEntries(KINDS.map((kind) => [kind, added(published[kind], { hiddenLabels: [] })]))
  return {
    crosswalks: [],
    codeMaps: [],
    ...published,
    ...lists,
    condition: added(lists.condition, { inseparable: [] }),
    reading: added(lists.reading, { scope: 'system' }),
  } as unknown as Ontology
}
