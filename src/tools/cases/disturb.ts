import type { CompiledRelease } from '../../domain/advice/compiled.ts'

/** A draw of the normal distribution from two even ones (Box and Muller, 1958, from memory). */
function normal(chance: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance())
}

/** A distribution with the log-odds of each level after the lowest moved at random; what is certain stays certain. */
function disturbed(levels: readonly number[], deviation: number, chance: () => number): number[] {
  const odds = levels.map((share, level) => (level === 0 ? share : share * Math.exp(deviation * normal(chance))))
  const sum = odds.reduce((total, share) => total + share, 0)
  return odds.map((share) => share / sum)
}

/** A release with every base rate, leak, link and factor on odds moved by a normal deviate of its log-odds. */
export function disturb(release: CompiledRelease, deviation: number, chance: () => number): CompiledRelease {
  const move = (levels: readonly number[]) => disturbed(levels, deviation, chance)
  const isHealthyCertain = (levels: readonly number[]) => levels[0] === 0
  return {
    ...release,
    contexts: release.contexts.map((context) => ({
      ...context,
      shifts: context.shifts.map(({ cause, factor }) => ({
        cause,
        factor: factor * Math.exp(deviation * normal(chance)),
      })),
    })),
    causes: release.causes.map((cause) => ({ ...cause, prior: move([1 - cause.prior, cause.prior])[1]! })),
    effects: release.effects.map((effect) => ({
      ...effect,
      leak: move(effect.leak),
      links: effect.links.map(({ cause, levels }) => ({
        cause,
        levels: isHealthyCertain(levels) && levels.length === 2 ? levels : move(levels),
      })),
    })),
  }
}
