import type { Rule } from './rule.ts'

/** Every cause has a remedy that fixes it, or says whom to turn to. */
export const causesHaveRemedy: Rule = (ontology) => {
  const fixed = new Set(ontology.remedy.flatMap((remedy) => remedy.fixes.map((fix) => fix.cause)))
  return ontology.cause
    .filter((cause) => !fixed.has(cause.id) && cause.escalation === undefined)
    .map(({ id }) => ({
      rule: 'causes-have-remedy',
      id,
      message: 'has no remedy and no escalation',
      remedy: 'List it in the fixes of a remedy or give it an escalation text',
    }))
}
