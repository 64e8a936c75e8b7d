import type { Rule } from './rule.ts'

const LEAST = 3

/** Every condition has at least three named causes, or says why not, and the family's "something else". */
export const conditionsHaveCauses: Rule = (ontology) =>
  ontology.condition.flatMap(({ id, family, fewCausesBecause }) => {
    const causes = ontology.cause.filter((cause) => cause.shows.some((link) => link.condition === id))
    const named = causes.filter((cause) => !cause.other)
    const faults: { message: string; remedy: string }[] = []
    if (named.length < LEAST && fewCausesBecause === undefined)
      faults.push({
        message: `has ${named.length} named causes, needs ${LEAST}`,
        remedy: 'Link more causes to it by their shows, or say in fewCausesBecause why there are no more',
      })
    if (!causes.some((cause) => cause.other && cause.family === family))
      faults.push({
        message: `is not shown by the other fault of ${family}`,
        remedy: `Add it to the shows of cause/other-fault-${family}`,
      })
    return faults.map((fault) => ({ rule: 'conditions-have-causes', id, ...fault }))
  })
