import type { Rule } from './rule.ts'

/** Every family that has conditions has one cause for what is not modelled, and is itself a concept. */
export const familiesHaveOther: Rule = ({ family, condition, cause }) =>
  [...new Set(condition.map((item) => item.family))].flatMap((name) => {
    const rule = 'families-have-other'
    const others = cause.filter((item) => item.family === name && item.other)
    const faults = []
    if (others.length !== 1)
      faults.push({
        rule,
        id: `family/${name}`,
        message: `has ${others.length} causes marked other`,
        remedy: `Keep exactly one, cause/other-fault-${name}`,
      })
    if (!family.some(({ id }) => id === `family/${name}`))
      faults.push({
        rule,
        id: `family/${name}`,
        message: 'is used but is not a concept',
        remedy: 'Add it to families.json',
      })
    return faults
  })
