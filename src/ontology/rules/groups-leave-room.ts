import { baseRateOf } from '../numbers.ts'
import type { Rule } from './rule.ts'

/** The base rates of causes that exclude each other leave room for none of them. */
export const groupsLeaveRoom: Rule = (ontology) => {
  const sums = new Map<string, number>()
  for (const cause of ontology.cause)
    if (cause.group)
      sums.set(cause.group, (sums.get(cause.group) ?? 0) + (baseRateOf(ontology.levels, cause.baseRate) ?? 0))
  return [...sums]
    .filter(([, sum]) => sum >= 1)
    .map(([group, sum]) => ({
      rule: 'groups-leave-room',
      id: group,
      message: `base rates sum to ${sum}`,
      remedy: 'Lower them below 1 in all',
    }))
}
