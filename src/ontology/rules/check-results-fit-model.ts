import type { Check, Ontology } from '../shape.ts'
import type { Rule } from './rule.ts'

/** Result ids that a check's model speaks of. */
function modelResults(check: Check, ontology: Ontology): string[] {
  const model = check.model
  switch (model.kind) {
    case 'yes-no':
      return [model.positive, model.negative]
    case 'ordered':
      return model.order
    case 'applicability':
      return model.sets.map((set) => set.result)
    case 'reveals':
      return [model.complete]
    case 'danger':
      return [model.sign]
    case 'reading':
      return ontology.reading.find((reading) => reading.id === model.reading)?.bands.map((band) => band.id) ?? []
  }
}

/** A check offers exactly the results that its model gives meaning to; the rest only where the model allows them. */
export const checkResultsFitModel: Rule = (ontology) =>
  ontology.check.flatMap((check) => {
    const offered = new Set(check.results.map((result) => result.id))
    const spoken = modelResults(check, ontology)
    const mayHaveMore = ['applicability', 'reveals', 'danger'].includes(check.model.kind)
    const missing = spoken.filter((id) => !offered.has(id))
    const spare = mayHaveMore ? [] : [...offered].filter((id) => !spoken.includes(id) && id !== 'dont-know')
    return [
      ...missing.map((id) => `result ${id} of its model is not offered`),
      ...spare.map((id) => `result ${id} means nothing to its model`),
    ].map((message) => ({
      rule: 'check-results-fit-model',
      id: check.id,
      message,
      remedy: 'Make results and model agree',
    }))
  })
