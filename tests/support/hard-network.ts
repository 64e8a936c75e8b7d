import { adjustPrior } from '../../src/domain/diagnosis/adjust-prior.ts'
import type { Evidence, Network } from '../../src/domain/diagnosis/network.ts'
import { drawsFrom } from '../../src/tools/cases/draws.ts'

type Random = () => number

/** A share anywhere between 1e-9 and about 1, small ones as likely as large ones. */
const anySize = (random: Random, decades: number): number => 10 ** (-decades * random())

function yesNoOrGraded(random: Random, size: number, decades: number): number[] {
  const above = Array.from({ length: size - 1 }, () => anySize(random, decades) / size)
  return [1 - above.reduce((sum, share) => sum + share, 0), ...above]
}

function weightsOf(random: Random, size: number): number[] {
  const kind = random()
  const level = Math.floor(random() * size)
  if (kind < 0.4) return Array.from({ length: size }, (_, at) => (at === size - 1 ? 1 : 0))
  if (kind < 0.6) return Array.from({ length: size }, (_, at) => (at === 0 ? 1 : 0))
  if (kind < 0.7) return Array.from({ length: size }, (_, at) => (at === level ? 1 : 0))
  return Array.from({ length: size }, () => random())
}

function groupsOf(random: Random, causes: number): number[][] {
  if (causes < 5 || random() < 0.5) return []
  return random() < 0.5
    ? [[0, 2]]
    : [
        [1, 0, 4],
        [2, 3],
      ]
}

/** Networks made to hurt: leaks and priors down to 1e-9, certain links, contexts, groups across effects, soft weights. */
export function hardCase(seed: number) {
  const random = drawsFrom(seed * 7919)
  const causes = 1 + Math.floor(random() * (seed % 50 === 0 ? 10 : 7))
  const groups = groupsOf(random, causes)
  const base = Array.from({ length: causes }, () => Math.min(0.3, anySize(random, 6)))
  const factors = base.map(() => (random() < 0.7 ? 1 : random() < 0.1 ? 0 : 0.05 + 20 * random() ** 3))
  const effects = Array.from({ length: 1 + Math.floor(random() * 5) }, () => {
    const size = random() < 0.6 ? 2 : 3 + Math.floor(random() * 3)
    const certain = Array.from({ length: size }, (_, level) => (level === size - 1 ? 1 : 0))
    const links = base.flatMap((_, cause) =>
      random() < 0.5 ? [{ cause, levels: random() < 0.1 ? certain : yesNoOrGraded(random, size, 2) }] : [],
    )
    return { leak: yesNoOrGraded(random, size, 9), links }
  })
  const network: Network = { prior: adjustPrior(base, factors, groups), groups, effects }
  const evidence: Evidence[] = effects.flatMap(({ leak }, effect) => {
    if (random() < 0.3) return []
    const items = [{ effect, weights: weightsOf(random, leak.length) }]
    return random() < 0.15 ? [...items, { effect, weights: leak.map(() => 0.1 + random()) }] : items
  })
  const unseen = effects.flatMap((_, effect) => (evidence.some((item) => item.effect === effect) ? [] : [effect]))
  return { network, evidence, unseen, random }
}
