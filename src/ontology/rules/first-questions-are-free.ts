import type { Check } from '../shape.ts'
import type { Rule } from './rule.ts'

/** What may hold a question back, so that everything behind it would wait for ever. */
function holdsBack({ who, scope, tools, disturbs, requires, requiresAny = [], notWith = [] }: Check): string[] {
  return [
    ...(who === 'caller' ? [] : [`is for somebody ${who}`]),
    ...(scope === 'system' ? [] : ['is put for a device']),
    ...(tools.length > 0 ? ['needs a tool'] : []),
    ...(disturbs.length > 0 ? ['disturbs something'] : []),
    ...(requires.length + requiresAny.length > 0 ? ['requires an answer'] : []),
    ...(notWith.length > 0 ? ['has notWith'] : []),
  ]
}

/** A question that a condition calls for before anything else can be put to anybody at once. */
export const firstQuestionsAreFree: Rule = ({ condition, check }) => {
  const byId = new Map(check.map((one) => [one.id, one]))
  return condition.flatMap(({ id, askFirst = [] }) =>
    askFirst.flatMap((first) => {
      const question = byId.get(first)
      return (question === undefined ? [] : holdsBack(question)).map((why) => ({
        rule: 'first-questions-are-free',
        id,
        message: `asks ${first} first, which ${why}`,
        remedy: 'Name a question that anybody can answer at once, or take out what holds it back',
      }))
    }),
  )
}
