import type { Follows } from '../follows-shape.ts'
import type { Context, Ontology } from '../shape.ts'
import type { Fault, Rule } from './rule.ts'

/** Something from which circumstances follow, with those that it is or sets by itself. */
interface Source {
  id: string
  /** Its name within the concept, where it is a part of one. */
  part: string
  own: readonly string[]
  follows: Follows
}

function sourcesOf({ condition, context, check }: Ontology): Source[] {
  const results = check.flatMap(({ id, results: list, model }) =>
    list.map((result) => ({
      id,
      part: `result ${result.id} `,
      own:
        model.kind === 'applicability'
          ? model.sets.flatMap((set) => (set.result === result.id ? [set.context] : []))
          : [],
      follows: result,
    })),
  )
  return [
    ...condition.map((one) => ({ id: one.id, part: '', own: [], follows: one })),
    ...context.map((one) => ({ id: one.id, part: '', own: [one.id], follows: one })),
    ...results,
  ]
}

/** Everything that holds and that does not once these circumstances hold. */
function closureOf(start: readonly string[], byId: ReadonlyMap<string, Context>) {
  const holds = new Set(start)
  const out = new Set<string>()
  for (const id of holds) {
    for (const next of byId.get(id)?.implies ?? []) holds.add(next)
    for (const next of byId.get(id)?.rulesOut ?? []) out.add(next)
  }
  return { holds, out }
}

/** Whether a circumstance leads back to itself. */
function isInCircle(id: string, byId: ReadonlyMap<string, Context>): boolean {
  return closureOf(byId.get(id)?.implies ?? [], byId).holds.has(id)
}

function contradictionIn({ own, follows }: Source, byId: ReadonlyMap<string, Context>): string | undefined {
  const { holds, out } = closureOf([...own, ...(follows.implies ?? [])], byId)
  for (const id of follows.rulesOut ?? []) out.add(id)
  const both = [...holds].find((id) => out.has(id))
  if (both !== undefined) return `says of ${both} that it holds and that it does not`
  const seen = new Map<string, string>()
  for (const id of holds) {
    const dimension = byId.get(id)?.dimension
    if (dimension === undefined) continue
    const other = seen.get(dimension)
    if (other !== undefined) return `says of ${other} and ${id} that both hold, which exclude each other`
    seen.set(dimension, id)
  }
  return undefined
}

/** What follows from one thing does not contradict itself, however many steps away, and never leads back to it. */
export const followsAgree: Rule = (ontology) => {
  const rule = 'follows-agree'
  const byId = new Map(ontology.context.map((context) => [context.id, context]))
  const circles = ontology.context
    .filter(({ id }) => isInCircle(id, byId))
    .map(
      ({ id }): Fault => ({
        rule,
        id,
        message: 'implies itself in a circle',
        remedy: 'Take out one of the links, or make one circumstance of those in the circle',
      }),
    )
  const contradictions = sourcesOf(ontology).flatMap((source): Fault[] => {
    const found = contradictionIn(source, byId)
    const remedy = 'Take one of the two out of implies or rulesOut, here or in the circumstances that it implies'
    return found === undefined ? [] : [{ rule, id: source.id, message: `${source.part}${found}`, remedy }]
  })
  return [...circles, ...contradictions]
}
