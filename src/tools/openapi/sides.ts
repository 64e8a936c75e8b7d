/** The document as the two sides see it: what a client sends may leave out what has a default, what it is answered is whole. */

// biome-ignore lint/suspicious/noExplicitAny: a document is walked, not understood.
type Json = Record<string, any>

const SCHEMA = '#/components/schemas/'
/** Begins the name of a component as it is answered, where it is sent too. */
export const ANSWERED = 'Answered'

function refsIn(value: unknown): string[] {
  if (typeof value !== 'object' || value === null) return []
  return Object.entries(value).flatMap(([key, inner]) =>
    key === '$ref' && typeof inner === 'string' && inner.startsWith(SCHEMA)
      ? [inner.slice(SCHEMA.length)]
      : refsIn(inner),
  )
}

/** Names of all components that a part of the document leads to. */
function reached(schemas: Json, from: unknown): Set<string> {
  const names = new Set<string>()
  const open = refsIn(from)
  for (let name = open.pop(); name !== undefined; name = open.pop()) {
    if (names.has(name)) continue
    names.add(name)
    open.push(...refsIn(schemas[name]))
  }
  return names
}

/** The schemas right inside a schema; a field may bear the name of a keyword. */
const innerOf = (schema: Json): unknown[] =>
  Object.entries(schema).flatMap(([key, inner]) => (key === 'properties' ? Object.values<unknown>(inner) : [inner]))

const hasDefault = (schema: unknown): boolean =>
  typeof schema === 'object' && schema !== null && ('default' in schema || innerOf(schema).some(hasDefault))

function dropDefaults(schema: unknown): void {
  if (typeof schema !== 'object' || schema === null) return
  delete (schema as Json).default
  for (const inner of innerOf(schema)) dropDefaults(inner)
}

/** Leads every reference to one of the names to what is answered under it. */
function leadToAnswered(value: unknown, names: ReadonlySet<string>): void {
  if (typeof value !== 'object' || value === null) return
  const { $ref } = value as Json
  const name = typeof $ref === 'string' && $ref.startsWith(SCHEMA) ? $ref.slice(SCHEMA.length) : undefined
  if (name !== undefined && names.has(name)) (value as Json).$ref = `${SCHEMA}${ANSWERED}${name}`
  for (const inner of Object.values(value)) leadToAnswered(inner, names)
}

/** Splits, in its place, every component with a default that is both sent and answered, with all that is in it. */
export function splitSides(document: Json): void {
  const { schemas } = document.components
  const operations = Object.values<Json>(document.paths).flatMap((item) => Object.values<Json>(item))
  const bodies = operations.map(({ requestBody }) => requestBody)
  const answers = operations.map(({ responses }) => responses)
  const [sent, answered] = [reached(schemas, bodies), reached(schemas, answers)]
  const leadsToDefault = (name: string) =>
    [name, ...reached(schemas, schemas[name])].some((one) => hasDefault(schemas[one]))
  const both = [...sent].filter((name) => answered.has(name) && leadsToDefault(name))
  const split = new Set(both.flatMap((name) => [name, ...reached(schemas, schemas[name])]))
  const copies = Object.fromEntries([...split].map((name) => [`${ANSWERED}${name}`, structuredClone(schemas[name])]))
  leadToAnswered([answers, copies], split)
  for (const name of sent) dropDefaults(schemas[name])
  Object.assign(schemas, copies)
}
