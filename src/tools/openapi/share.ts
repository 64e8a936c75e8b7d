/** What stands in the document more than once and is told once, under a name. */

// biome-ignore lint/suspicious/noExplicitAny: a document is walked, not understood.
type Json = Record<string, any>

/**
 * Parts of a component that bear no name where they are made, with where one of them stands in it: the small before the
 * large. The ontology knows nothing of this document, so that the parts of an overlay are named here.
 */
const PARTS: Record<string, Record<string, string>> = {
  Overlay: {
    OverlayText: '/hazards/items/properties/label',
    OverlayProbability: '/causes/items/properties/baseRate',
    OverlayDistribution: '/checks/items/properties/model/oneOf/1/properties/leak',
    OverlayMinutes: '/checks/items/properties/minutes',
    OverlayDeprecation: '/causes/items/properties/deprecated',
    OverlayLink: '/readings/items/properties/high/properties/links/items',
    OverlayReadingSide: '/readings/items/properties/high',
    OverlayCondition: '/conditions/items',
    OverlayCause: '/causes/items',
    OverlayCheck: '/checks/items',
    OverlayReading: '/readings/items',
    OverlayContext: '/contexts/items',
    OverlayRemedy: '/remedies/items',
    OverlayPartClass: '/partClasses/items',
    OverlayHazard: '/hazards/items',
  },
}

const refTo = (kind: string, name: string) => ({ $ref: `#/components/${kind}/${name}` })

/** The value with every part that reads as `text` put elsewhere. */
function without(value: unknown, text: string, instead: Json): unknown {
  if (typeof value !== 'object' || value === null) return value
  if (JSON.stringify(value) === text) return instead
  if (Array.isArray(value)) return value.map((inner) => without(inner, text, instead))
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, without(inner, text, instead)]))
}

/** Gives the parts of `PARTS` their names, within the component that they are of. */
export function nameParts(document: Json): void {
  const { schemas } = document.components
  for (const [owner, parts] of Object.entries(PARTS))
    for (const [name, place] of Object.entries(parts)) {
      const keys = place.split('/').slice(1)
      const part = keys.reduce((value: Json | undefined, key) => value?.[key], schemas[owner].properties)
      if (part === undefined || '$ref' in part || schemas[name] !== undefined)
        throw new Error(`${name} must be a part of its own at ${place} of ${owner}`)
      const text = JSON.stringify(part)
      for (const within of [owner, ...Object.keys(parts)])
        if (schemas[within] !== undefined) schemas[within] = without(schemas[within], text, refTo('schemas', name))
      schemas[name] = part
    }
}

/** The responses of all operations that have a name to be shared under, by name and by what they say. */
function namedResponses(document: Json): Map<string, Map<string, Json[]>> {
  const named = new Map<string, Map<string, Json[]>>()
  const operations = Object.values<Json>(document.paths).flatMap((item) => Object.values<Json>(item))
  for (const response of operations.flatMap(({ responses = {} }) => Object.values<Json>(responses))) {
    const { 'x-component': name, ...rest } = response
    if (name === undefined) continue
    delete response['x-component']
    const alike = named.get(name) ?? new Map<string, Json[]>()
    const text = JSON.stringify(rest)
    named.set(name, alike.set(text, [...(alike.get(text) ?? []), response]))
  }
  return named
}

/** States what many operations answer once, under its name; where one answers it with more fields, it stays where it is. */
export function shareResponses(document: Json): void {
  document.components.responses = {}
  for (const [name, variants] of namedResponses(document)) {
    const [[text, places]] = [...variants].sort(([, a], [, b]) => b.length - a.length) as [[string, Json[]]]
    document.components.responses[name] = JSON.parse(text)
    for (const place of places) {
      for (const key of Object.keys(place)) delete place[key]
      Object.assign(place, refTo('responses', name))
    }
  }
}
