import { baseRateOf, linkOf } from '../numbers.ts'
import type { Condition, Ontology } from '../shape.ts'
import type { Rule } from './rule.ts'

/** Causes below this share of a condition need not be told apart. */
const SHARE = 0.05
/** Least ratio between the likelihoods of one result under the two causes. */
const RATIO = 3

/** For each check, reading side or context: likelihoods of its results under a cause; what it does not link behaves as its leak. */
type Sign = (cause: string) => readonly number[]

function checkSigns({ check, levels }: Ontology): Sign[] {
  return check.flatMap(({ model, status }): Sign[] => {
    if (status === 'deprecated') return []
    if (model.kind === 'yes-no') {
      const leak = linkOf(levels, model.leak) ?? 0
      const links = new Map(model.links.map(({ cause, q }) => [cause, linkOf(levels, q) ?? 0]))
      const positive = (cause: string) => 1 - (1 - leak) * (1 - (links.get(cause) ?? 0))
      return [(cause) => [positive(cause), 1 - positive(cause)]]
    }
    return model.kind === 'ordered' ? [gradedSign(model)] : []
  })
}

/** Noisy maximum of the leak and one cause. */
function gradedSign(scale: {
  leak: { values: number[] }
  links: { cause: string; distribution: { values: number[] } }[]
}): Sign {
  const cumulate = (values: readonly number[]) =>
    values.map((_, level) => values.slice(0, level + 1).reduce((a, b) => a + b, 0))
  const leak = cumulate(scale.leak.values)
  const links = new Map(scale.links.map(({ cause, distribution }) => [cause, cumulate(distribution.values)]))
  return (cause) => {
    const own = links.get(cause)
    const most = leak.map((value, level) => value * (own?.[level] ?? 1))
    return most.map((value, level) => value - (level === 0 ? 0 : most[level - 1]!))
  }
}

const readingSigns = ({ reading }: Ontology): Sign[] =>
  reading.flatMap(({ low, high }) => [low, high].flatMap((side) => (side ? [gradedSign(side)] : [])))

/** A question of circumstances tells causes apart by the factor on their odds; one that a circumstance excludes goes to nothing. */
function contextSigns({ context, cause }: Ontology): Sign[] {
  const excluded = new Map(cause.map(({ id, excludedBy }) => [id, excludedBy]))
  return context.map(({ id, shifts }) => {
    const factors = new Map(shifts.map((shift) => [shift.cause, shift.factor.value]))
    return (name) => [excluded.get(name)?.includes(id) ? 1e-6 : (factors.get(name) ?? 1)]
  })
}

/** Causes with a share of the condition of 5 % or more. */
function notableCauses({ cause, levels }: Ontology, condition: Condition): string[] {
  const weights = cause.flatMap(({ id, baseRate, shows }) => {
    const link = shows.find((shown) => shown.condition === condition.id)
    return link ? [{ id, weight: (baseRateOf(levels, baseRate) ?? 0) * (linkOf(levels, link.q) ?? 0) }] : []
  })
  const total = weights.reduce((sum, { weight }) => sum + weight, 0)
  return weights.filter(({ weight }) => weight >= SHARE * total).map(({ id }) => id)
}

function areApart(signs: readonly Sign[], a: string, b: string): boolean {
  return signs.some((sign) => {
    const [left, right] = [sign(a), sign(b)]
    return left.some(
      (value, index) => Math.max(value, right[index]!) >= RATIO * Math.max(Math.min(value, right[index]!), 1e-9),
    )
  })
}

/** Pairs of notable causes of a condition that nothing tells apart; those listed as inseparable among them. */
export function inseparablePairs(
  ontology: Ontology,
): { condition: Condition; pair: [string, string]; isListed: boolean }[] {
  const signs = [...checkSigns(ontology), ...readingSigns(ontology), ...contextSigns(ontology)]
  return ontology.condition.flatMap((condition) => {
    const causes = notableCauses(ontology, condition)
    const listed = new Set(condition.inseparable.map(({ causes: pair }) => [...pair].sort().join(' ')))
    return causes.flatMap((a, index) =>
      causes
        .slice(index + 1)
        .filter((b) => !areApart(signs, a, b))
        .map((b) => ({ condition, pair: [a, b] as [string, string], isListed: listed.has([a, b].sort().join(' ')) })),
    )
  })
}

/** Any two notable causes of one condition are told apart by some result with a likelihood ratio of at least 3, or are listed. */
export const causesAreToldApart: Rule = (ontology) => {
  const rule = 'causes-are-told-apart'
  const pairs = inseparablePairs(ontology)
  const missing = pairs
    .filter(({ isListed }) => !isListed)
    .map(({ condition, pair }) => ({
      rule,
      id: condition.id,
      message: `no check, reading or context tells ${pair.join(' from ')}`,
      remedy: 'Add a check that speaks of one of them, or list the pair under inseparable with the reason',
    }))
  const astray = ontology.condition.flatMap(({ id, inseparable }) =>
    inseparable
      .filter(({ causes }) => causes.some((cause) => !isCauseOf(ontology, cause, id)))
      .map(({ causes }) => ({
        rule,
        id,
        message: `lists ${causes.join(' and ')} as inseparable, and one of them is no cause of it`,
        remedy: 'Remove the pair',
      })),
  )
  return [...missing, ...astray]
}

const isCauseOf = ({ cause }: Ontology, id: string, condition: string) =>
  cause.some((item) => item.id === id && item.shows.some((shown) => shown.condition === condition))
