import { readAttributes } from '../../domain/parts/attribute-text/read-attributes.ts'
import type { ReadAttribute } from '../../domain/parts/attribute-text/types.ts'
import type { PartClass } from '../../ontology/shape.ts'

type Spec = PartClass['attributes'][number]
export interface KnownWord {
  value: string
  /** Whether the part class names it; what it does not name is another thing, which is known and fits nothing. */
  isListed: boolean
}

const kebab = (text: string) =>
  text
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, '-')
const listed = (value: string): KnownWord => ({ value, isListed: true })
const other = (value: string): KnownWord => ({ value, isListed: false })

/** What may be any of the words of a class, where the class has a word for just that: sealed lead-acid is AGM or gel. */
function unspecificOf({ fit }: Spec, written: string): KnownWord | undefined {
  const words = fit?.unspecific ?? []
  const own = words.find((word) => word === kebab(written)) ?? words.at(-1)
  return own === undefined ? undefined : listed(own)
}

/** One of several words: settled where the class names one only, and never where a mistake could hurt. */
function ofCandidates(spec: Spec, candidates: readonly string[], written: string): KnownWord | undefined {
  const own = candidates.filter((candidate) => spec.values!.includes(candidate))
  if (own.length === 0) return other(written)
  if (own.length === candidates.length) return unspecificOf(spec, written)
  return own.length === 1 && spec.role !== 'safety' ? listed(own[0]!) : undefined
}

/**
 * What a reading of a text says of an attribute that has a list of words; undefined where it stays open.
 *
 * @param written - the words of the text that were read so
 */
export function wordOfReading(spec: Spec, reading: ReadAttribute, written: string): KnownWord | undefined {
  const { value, certainty, candidates } = reading
  if (typeof value !== 'string') return undefined
  if (certainty === 'ambiguous')
    return candidates?.length ? ofCandidates(spec, candidates.map(String), written) : undefined
  return spec.values!.includes(value) ? listed(value) : other(value)
}

/**
 * What a word in a column means: the class's own word in another spelling or by another name, or one that the trade knows
 * for something else. A lithium block among lead-acid ones is no unknown battery. Undefined for what nobody knows.
 */
export function knownWord(spec: Spec, partClass: string, written: string): KnownWord | undefined {
  const text = written.trim()
  const own = [...spec.values!, ...(spec.fit?.unspecific ?? [])].find((value) => value.toLowerCase() === kebab(text))
  if (own !== undefined) return listed(own)
  const reading = readAttributes(text, { partClass }).attributes.find(({ name }) => name === spec.name)
  return reading && wordOfReading(spec, reading, text)
}
