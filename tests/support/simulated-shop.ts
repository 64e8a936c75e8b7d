import type { CompiledRelease } from '../../src/domain/advice/compiled.ts'
import type { Evidence, Network } from '../../src/domain/diagnosis/network.ts'
import { strengthOf } from '../../src/domain/learning/estimate.ts'
import type { Outcome } from '../../src/domain/learning/outcome.ts'

type Random = () => number

function normal(random: Random): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random())
}

/** A gamma variable of a shape of at least 1 (Marsaglia and Tsang 2000, from memory); smaller shapes by a power of a uniform. */
export function drawGamma(random: Random, shape: number): number {
  if (shape < 1) return drawGamma(random, shape + 1) * (1 - random()) ** (1 / shape)
  const d = shape - 1 / 3
  const c = 1 / Math.sqrt(9 * d)
  for (;;) {
    const x = normal(random)
    const v = (1 + c * x) ** 3
    if (v > 0 && Math.log(1 - random()) < x ** 2 / 2 + d - d * v + d * Math.log(v)) return d * v
  }
}

export function drawBeta(random: Random, a: number, b: number): number {
  const x = drawGamma(random, a)
  return x / (x + drawGamma(random, b))
}

/** Rates drawn around those of the release: as widely as the strength of the prior says, or so many times as tightly. */
export function drawRates({ causes }: CompiledRelease, random: Random, tightness = 1): number[] {
  return causes.map(({ prior }) => {
    const strength = tightness * strengthOf(prior)
    return drawBeta(random, strength * prior, strength * (1 - prior))
  })
}

/** Which of these shares a draw falls into; -1 for the rest to 1. */
function drawOf(shares: readonly number[], random: Random): number {
  const drawn = random()
  let sum = 0
  return shares.findIndex((share) => {
    sum += share
    return drawn < sum
  })
}

/** The causes of one call: each by its rate, at most one of each group. */
export function drawCauses({ causes }: CompiledRelease, rates: readonly number[], random: Random): number[] {
  const groups = new Map<string, number[]>()
  const present: number[] = []
  causes.forEach(({ group }, cause) => {
    if (group !== undefined) groups.set(group, [...(groups.get(group) ?? []), cause])
    else if (random() < rates[cause]!) present.push(cause)
  })
  for (const members of groups.values()) {
    const one = drawOf(
      members.map((cause) => rates[cause]!),
      random,
    )
    if (one >= 0) present.push(members[one]!)
  }
  return present.sort((a, b) => a - b)
}

/** A level drawn from a distribution over levels. */
const drawLevel = (levels: readonly number[], random: Random) => Math.max(0, drawOf(levels, random))

/** What the listed effects show of the causes: the highest level of leak and causes. */
export function drawEvidence(
  network: Network,
  effects: readonly number[],
  present: readonly number[],
  random: Random,
): Evidence[] {
  return effects.map((effect) => {
    const { leak, links } = network.effects[effect]!
    const sources = [leak, ...links.filter(({ cause }) => present.includes(cause)).map(({ levels }) => levels)]
    const level = Math.max(...sources.map((levels) => drawLevel(levels, random)))
    return { effect, weights: leak.map((_, at) => Number(at === level)) }
  })
}

/** What a call had that shows something and has none of the release's causes: something outside it. */
const OUTSIDE = { cause: 'cause/outside~release', by: 'check' as const }

/** A closed call whose causes a check found, or nobody. */
export function closedCall({ causes }: CompiledRelease, present: readonly number[], isKnown: boolean): Outcome {
  return {
    closedAt: 0,
    conclusion: isKnown ? 'confirmed' : 'not-confirmed',
    confirmed: isKnown
      ? [OUTSIDE, ...present.map((cause) => ({ cause: causes[cause]!.id, by: 'check' as const }))]
      : [],
    devices: [],
    hasUnnamedDevice: false,
  }
}
