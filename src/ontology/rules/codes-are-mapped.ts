import type { Rule } from './rule.ts'

/** Every trouble code leads to a condition or says why none answers to it; every target exists, once for each code. */
export const codesAreMapped: Rule = ({ crosswalks, condition, codeMaps }) => {
  const conditions = new Set(condition.map(({ id }) => id))
  const rule = 'codes-are-mapped'
  const unmapped = crosswalks.flatMap(({ scheme, codes }) =>
    codes.flatMap(({ code, trouble, mappings, noEquivalent }) => {
      const id = `${scheme} ${code}`
      const targets = mappings.map(({ concept }) => concept)
      const faults = targets
        .filter((target, index) => !conditions.has(target) || targets.indexOf(target) !== index)
        .map((target) => ({
          rule,
          id,
          message: `maps to ${target}, which does not exist or is named twice`,
          remedy: 'Name each condition once, by its id',
        }))
      const isMapped = mappings.length > 0
      if (trouble && isMapped === (noEquivalent !== undefined))
        faults.push({
          rule,
          id,
          message: isMapped ? 'has mappings and yet says that nothing answers to it' : 'is a trouble without a mapping',
          remedy: 'Give either mappings or noEquivalent with the reason',
        })
      return faults
    }),
  )
  const codesIn = new Map(crosswalks.map(({ scheme, codes }) => [scheme, new Set(codes.map(({ code }) => code))]))
  const astray = codeMaps.flatMap(({ from, to, rows }) =>
    rows
      .filter(({ code, target }) => !codesIn.get(from)?.has(code) || (target && !codesIn.get(to)?.has(target)))
      .map(({ code, target }) => ({
        rule,
        id: `${from} ${code}`,
        message: `is led to ${to} ${target ?? ''}, and one of the two is not in its scheme`,
        remedy: 'Correct the code or add it to its crosswalk',
      })),
  )
  return [...unmapped, ...astray]
}
