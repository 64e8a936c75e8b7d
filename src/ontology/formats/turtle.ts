import { PREDICATES, PREFIXES } from './predicates.ts'
import type { Triple, TripleObject } from './triples.ts'

const LOCAL_NAME = /^[A-Za-z_][A-Za-z0-9_-]*$/

function iri(value: string): string {
  for (const [prefix, namespace] of Object.entries(PREFIXES))
    if (value.startsWith(namespace) && LOCAL_NAME.test(value.slice(namespace.length)))
      return `${prefix}:${value.slice(namespace.length)}`
  return `<${value.replace(/[<>"{}|^`\\\s]/g, encodeURIComponent)}>`
}

const ESCAPES: Record<string, string> = { '\\': '\\\\', '"': '\\"', '\n': '\\n', '\r': '\\r', '\t': '\\t' }
const quoted = (value: string) => `"${value.replace(/[\\"\n\r\t]/g, (char) => ESCAPES[char]!)}"`

function objectOf(object: TripleObject): string {
  if ('iri' in object) return iri(object.iri)
  if ('language' in object) return `${quoted(object.value)}@${object.language}`
  return object.kind === 'string' ? quoted(object.value) : `${quoted(object.value)}^^xsd:${object.kind}`
}

const predicateOf = (name: string) => (name === 'type' ? 'a' : iri(PREDICATES[name]!.iri))

/** Statements as Turtle, subject by subject in the order given. */
export function toTurtle(triples: readonly Triple[]): string {
  const bySubject = Map.groupBy(triples, ({ subject }) => subject)
  const head = Object.entries(PREFIXES).map(([prefix, namespace]) => `@prefix ${prefix}: <${namespace}> .`)
  const blocks = [...bySubject].map(([subject, own]) => {
    const byPredicate = Map.groupBy(own, ({ predicate }) => predicate)
    const lines = [...byPredicate].map(
      ([predicate, same]) => `  ${predicateOf(predicate)} ${same.map(({ object }) => objectOf(object)).join(', ')}`,
    )
    return `${iri(subject)}\n${lines.join(' ;\n')} .`
  })
  return `${head.join('\n')}\n\n${blocks.join('\n\n')}\n`
}
