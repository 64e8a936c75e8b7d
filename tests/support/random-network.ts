import type { Evidence, Network } from '../../src/domain/diagnosis/network.ts'
import { drawsFrom } from '../../src/tools/cases/draws.ts'

function distribution(random: () => number, size: number): number[] {
  const raw = Array.from({ length: size }, () => random() ** 2 + 0.01)
  const total = raw.reduce((sum, value) => sum + value, 0)
  return raw.map((value) => value / total)
}

function weightsOf(random: () => number, size: number): number[] {
  const kind = random()
  const level = Math.floor(random() * size)
  if (kind < 0.35) return Array.from({ length: size }, (_, index) => (index === level ? 1 : 0))
  if (kind < 0.7) return Array.from({ length: size }, (_, index) => (index === 0 ? 1 : 0))
  const trust = 0.5 + random() / 2
  return Array.from({ length: size }, (_, index) => (index === level ? trust : (1 - trust) / (size - 1)))
}

/** A small network with yes-no and graded effects, exclusive groups, and mixed evidence on most of its effects. */
export function randomCase(seed: number): {
  network: Network
  evidence: Evidence[]
  unseen: number[]
  random: () => number
} {
  const random = drawsFrom(seed)
  const causes = 2 + Math.floor(random() * 7)
  const effects = 2 + Math.floor(random() * 5)
  const groups =
    random() < 0.4 && causes >= 4 ? [[0, 1], random() < 0.5 ? [2, 3] : []].filter((group) => group.length > 0) : []
  const network: Network = {
    prior: Array.from({ length: causes }, () => 0.002 + 0.4 * random() ** 2),
    groups,
    effects: Array.from({ length: effects }, () => {
      const size = random() < 0.65 ? 2 : 3 + Math.floor(random() * 3)
      const leak = distribution(random, size)
      const links = Array.from({ length: causes }, (_, cause) => cause)
        .filter(() => random() < 0.45)
        .map((cause) => ({ cause, levels: distribution(random, size) }))
      return { leak, links }
    }),
  }
  const seen = network.effects.map(() => random() < 0.75)
  const evidence = network.effects.flatMap(({ leak }, effect) =>
    seen[effect] ? [{ effect, weights: weightsOf(random, leak.length) }] : [],
  )
  return { network, evidence, unseen: seen.flatMap((isSeen, effect) => (isSeen ? [] : [effect])), random }
}
