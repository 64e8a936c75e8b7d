import { allConcepts } from '../concepts.ts'
import type { Text } from '../shape.ts'
import type { Rule } from './rule.ts'

const isRepeated = (text: Text, of: Text) =>
  text['en-US'].replace(/[.?]$/, '').toLowerCase() === of['en-US'].toLowerCase()

/** Every concept has a name in plain words and a definition, both of their own; names of one kind differ; no label is listed in two classes (SKOS S13). */
export const labelsArePlain: Rule = (ontology) => {
  const seen = new Map<string, string>()
  return allConcepts(ontology).flatMap(({ kind, concept }) => {
    const rule = 'labels-are-plain'
    const faults = []
    if (concept.lay === undefined)
      faults.push({
        rule,
        id: concept.id,
        message: 'has no lay label',
        remedy: 'Add lay: the words a caller would use',
      })
    if (concept.lay && isRepeated(concept.lay, concept.label))
      faults.push({
        rule,
        id: concept.id,
        message: 'repeats its label as its lay label',
        remedy: 'Say in lay what a caller of eleven years would say',
      })
    if (isRepeated(concept.definition, concept.label))
      faults.push({
        rule,
        id: concept.id,
        message: 'repeats its label as its definition',
        remedy: 'Say in definition what it is, for a professional',
      })
    const key = `${kind} ${concept.label['en-US'].toLowerCase()}`
    const rival = seen.get(key)
    if (rival !== undefined && concept.status !== 'deprecated')
      faults.push({
        rule,
        id: concept.id,
        message: `has the same label as ${rival}`,
        remedy: 'Give each concept of a kind a label of its own',
      })
    seen.set(key, concept.id)
    const listed = [concept.label['en-US'], ...concept.altLabels, ...concept.hiddenLabels].map((text) =>
      text.toLowerCase(),
    )
    const twice = listed.find((text, index) => listed.indexOf(text) !== index)
    if (twice !== undefined)
      faults.push({
        rule,
        id: concept.id,
        message: `lists the label "${twice}" twice`,
        remedy: 'Keep it in one of label, altLabels and hiddenLabels',
      })
    return faults
  })
}
