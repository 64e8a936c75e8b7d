import { allConcepts } from '../concepts.ts'
import type { LanguagePack } from '../language.ts'
import type { Check, Ontology } from '../shape.ts'
import type { Fault } from './rule.ts'

/** A language gives the label of every concept, question and results of every check put to a caller, and nothing spare. */
export function languageFaults(ontology: Ontology, { language, texts }: LanguagePack): Fault[] {
  const fault = (id: string, message: string): Fault => ({
    rule: 'languages-complete',
    id: `${language} ${id}`,
    message,
    remedy: `Mend it in ontology/languages/${language}.json`,
  })
  const concepts = new Map(allConcepts(ontology).map((entry) => [entry.concept.id, entry]))
  const missing = [...concepts.values()].flatMap(({ kind, concept }) => {
    const words = texts[concept.id]
    if (!words) return [fault(concept.id, 'has no label')]
    if (kind !== 'check') return []
    const { results, who } = concept as Check
    if (who === 'technician') return []
    const absent = results.filter(({ id }) => words.results?.[id] === undefined).map(({ id }) => id)
    return [
      ...(words.ask === undefined ? [fault(concept.id, 'has no question')] : []),
      ...(absent.length > 0 ? [fault(concept.id, `has no words for the results ${absent.join(', ')}`)] : []),
    ]
  })
  const spare = Object.keys(texts)
    .filter((id) => !concepts.has(id))
    .map((id) => fault(id, 'is no concept of this ontology'))
  return [...missing, ...spare]
}
