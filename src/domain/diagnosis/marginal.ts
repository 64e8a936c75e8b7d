import type { Network } from './network.ts'
import { higherOf } from './spread.ts'

/** Levels that causes bring about, of which at most one is present. */
function mixture(network: Network, links: readonly { cause: number; levels: readonly number[] }[]): number[] {
  const none = links.reduce((rest, { cause }) => rest - network.prior[cause]!, 1)
  const mixed = links[0]!.levels.map((_, level) => (level === 0 ? none : 0))
  for (const { cause, levels } of links)
    levels.forEach((share, level) => {
      mixed[level]! += network.prior[cause]! * share
    })
  return mixed
}

/** Probability of each level of an effect before any evidence. */
export function levelsOf(network: Network, effect: number): number[] {
  const { leak, links } = network.effects[effect]!
  const groups = network.groups.map((members) => links.filter(({ cause }) => members.includes(cause)))
  const alone = links.filter(({ cause }) => !network.groups.some((members) => members.includes(cause)))
  const independent = [...groups.filter((group) => group.length > 0), ...alone.map((link) => [link])]
  return independent.reduce<number[]>((levels, group) => higherOf(levels, mixture(network, group)), [...leak])
}
