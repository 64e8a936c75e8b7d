import type { Rule } from './rule.ts'

/** Every named cause moves with at least one check, reading or context, so that a call can confirm or lower it. */
export const causesCanBeChecked: Rule = (ontology) => {
  const moved = new Set<string>()
  for (const { model, status } of ontology.check)
    if (status === 'deprecated') continue
    else if (model.kind === 'yes-no' || model.kind === 'ordered') for (const link of model.links) moved.add(link.cause)
  for (const reading of ontology.reading)
    for (const side of [reading.low, reading.high]) for (const link of side?.links ?? []) moved.add(link.cause)
  for (const context of ontology.context) for (const shift of context.shifts) moved.add(shift.cause)
  return ontology.cause
    .filter((cause) => !cause.other && !moved.has(cause.id))
    .map(({ id }) => ({
      rule: 'causes-can-be-checked',
      id,
      message: 'no check, reading or context speaks of it',
      remedy: 'Link it in a check or reading, or shift it by a context',
    }))
}
