import { type ObjectKind, PREDICATES, PREFIXES } from './predicates.ts'

/** The object of a statement: a thing, or a value with its language or kind. */
export type TripleObject = { iri: string } | { value: string; language: string } | { value: string; kind: ObjectKind }
export interface Triple {
  subject: string
  /** A name of the predicate table, or "type". */
  predicate: string
  object: TripleObject
}

/** xsd:decimal knows no exponent. */
function decimal(value: number): string {
  const plain = String(value)
  return plain.includes('e') ? value.toFixed(15).replace(/0+$/, '').replace(/\.$/, '') : plain
}

/** Collects the statements about one subject. */
export class Subject {
  readonly iri: string
  readonly triples: Triple[]

  constructor(iri: string, triples: Triple[]) {
    this.iri = iri
    this.triples = triples
  }

  type(...types: `${keyof typeof PREFIXES}:${string}`[]): this {
    for (const name of types) {
      const [prefix, local] = name.split(':') as [keyof typeof PREFIXES, string]
      this.triples.push({ subject: this.iri, predicate: 'type', object: { iri: PREFIXES[prefix] + local } })
    }
    return this
  }

  /** Texts by language; a language without words of its own is left out. */
  text(predicate: string, text: object | undefined): this {
    for (const [language, value] of Object.entries(text ?? {}))
      if (typeof value === 'string') this.triples.push({ subject: this.iri, predicate, object: { value, language } })
    return this
  }

  /** One or more values of the predicate's kind; nothing for undefined. */
  add(predicate: string, value: string | number | boolean | readonly string[] | undefined): this {
    if (value === undefined) return this
    const { kind } = PREDICATES[predicate]!
    for (const item of Array.isArray(value) ? value : [value]) {
      const written = typeof item === 'number' ? decimal(item) : String(item)
      const object = kind === 'iri' ? { iri: written } : { value: written, kind }
      this.triples.push({ subject: this.iri, predicate, object })
    }
    return this
  }

  /** A thing of its own below this one, such as a link with its probability. */
  part(predicate: string, name: string): Subject {
    const iri = `${this.iri}#${name}`
    this.add(predicate, iri)
    return new Subject(iri, this.triples)
  }
}
