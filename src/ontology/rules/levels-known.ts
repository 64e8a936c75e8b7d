import { allConcepts } from '../concepts.ts'
import { baseRateOf, linkOf } from '../numbers.ts'
import type { Probability } from '../shape.ts'
import type { Rule } from './rule.ts'

const isProbability = (value: unknown): value is Probability =>
  typeof value === 'object' && value !== null && 'basis' in value && 'level' in value

function levelled(record: unknown, key = ''): { key: string; number: Probability }[] {
  if (isProbability(record)) return [{ key, number: record }]
  if (typeof record !== 'object' || record === null) return []
  return Object.entries(record).flatMap(([name, value]) => levelled(value, Array.isArray(record) ? key : name))
}

/** A level that a number names must be in levels.json. */
export const levelsKnown: Rule = (ontology) =>
  allConcepts(ontology).flatMap(({ concept }) =>
    levelled(concept)
      .filter(({ key, number }) => {
        const value = key === 'baseRate' ? baseRateOf(ontology.levels, number) : linkOf(ontology.levels, number)
        return value === undefined
      })
      .map(({ number }) => ({
        rule: 'levels-known',
        id: concept.id,
        message: `names the level ${number.level}, which levels.json does not have for this use`,
        remedy: 'Use a level of levels.json or give a value',
      })),
  )
