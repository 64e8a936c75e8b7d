import type { CompiledCheck, CompiledRelease } from '../../domain/advice/compiled.ts'
import { DONT_KNOW } from '../../domain/findings/finding.ts'
import type { Case } from './case.ts'

/**
 * Calls drawn from a release itself, to compare ways of asking and stopping on many calls at once. Drawn from a release
 * whose numbers are disturbed, so that the engine is wrong about them as it is about the world; still easier than real calls.
 */

type Chance = () => number

/** Shares of drawn calls; judgement. */
const SEVERAL = 0.3
const UNMODELLED = 0.08
const WHO = [
  ['caller', 0.5],
  ['handy', 0.35],
  ['technician', 0.15],
] as const
/** Share of questions that a caller cannot answer, and of calls in which the whole display was read. Judgement. */
const NOT_KNOWN = 0.15
const COMPLETE = 0.7
const MOST_TRIES = 500

function draw(weights: readonly number[], chance: Chance): number {
  let rest = chance() * weights.reduce((sum, weight) => sum + weight, 0)
  for (let index = 0; index < weights.length; index++) {
    rest -= weights[index]!
    if (rest < 0) return index
  }
  return weights.length - 1
}

/** Level of an effect: the highest that its leak and each cause that is there bring about. */
function levelOf(release: CompiledRelease, effect: number, truth: ReadonlySet<number>, chance: Chance): number {
  const { leak, links } = release.effects[effect]!
  return links.reduce(
    (level, link) => (truth.has(link.cause) ? Math.max(level, draw(link.levels, chance)) : level),
    draw(leak, chance),
  )
}

function causesOf({ causes }: CompiledRelease, chance: Chance): Set<number> {
  const weigh = (isOther: boolean) => causes.map((cause) => (cause.isOther === isOther ? cause.prior : 0))
  if (chance() < UNMODELLED) return new Set([draw(weigh(true), chance)])
  const truth = new Set([draw(weigh(false), chance)])
  if (chance() < SEVERAL) truth.add(draw(weigh(false), chance))
  return truth
}

/** One context at most for each dimension, by its share and what the causes make of it. */
function contextsOf({ causes, contexts }: CompiledRelease, truth: ReadonlySet<number>, chance: Chance): Set<number> {
  const weigh = (context: number) =>
    [...truth].some((cause) => causes[cause]!.excludedBy.includes(context))
      ? 0
      : contexts[context]!.shifts.reduce(
          (weight, { cause, factor }) => (truth.has(cause) ? weight * factor : weight),
          contexts[context]!.share,
        )
  const byDimension = new Map<string, number[]>()
  contexts.forEach(({ dimension, id }, context) => {
    byDimension.set(dimension ?? id, [...(byDimension.get(dimension ?? id) ?? []), context])
  })
  return new Set(
    [...byDimension.values()].flatMap((members) => {
      const rest = Math.max(0, 1 - members.reduce((sum, context) => sum + contexts[context]!.share, 0))
      return members[draw([...members.map(weigh), rest], chance)] ?? []
    }),
  )
}

/** Middle of a band; at an open end, a tenth of the valid range within it. */
function middleOf({ edges, validLow, validHigh }: CompiledRelease['readings'][number], band: number): number {
  const reach = (validHigh - validLow) / 10
  const low = edges[band - 1] ?? Math.max(validLow, edges[0]! - reach)
  return (low + (edges[band] ?? Math.min(validHigh, edges.at(-1)! + reach))) / 2
}

function measured(release: CompiledRelease, index: number, truth: ReadonlySet<number>, chance: Chance): number {
  const reading = release.readings[index]!
  const side = (effect: number | undefined) => (effect === undefined ? 0 : levelOf(release, effect, truth, chance))
  const [low, high] = [side(reading.low), side(reading.high)]
  return middleOf(reading, low > 0 ? reading.healthy - low : reading.healthy + high)
}

/** What the caller would answer; nothing where the ordinary answer is right. */
function answerTo(
  release: CompiledRelease,
  { model, results }: CompiledCheck,
  { truth, contexts }: { truth: ReadonlySet<number>; contexts: ReadonlySet<number> },
  chance: Chance,
): string | undefined {
  if (model.kind === 'observation') {
    const level = levelOf(release, model.effect, truth, chance)
    return chance() < NOT_KNOWN ? DONT_KNOW : model.levels[level]!
  }
  if (model.kind !== 'applicability') return undefined
  const held = model.sets.find(({ context }) => contexts.has(context))
  return held?.result ?? results.find((result) => !model.sets.some((set) => set.result === result)) ?? DONT_KNOW
}

function callOf(release: CompiledRelease, id: string, chance: Chance): Case | undefined {
  const truth = causesOf(release, chance)
  const standing = release.conditions.filter(({ effect }) => levelOf(release, effect, truth, chance) > 0)
  if (standing.length === 0) return undefined
  const held = contextsOf(release, truth, chance)
  const answers = release.checks.flatMap((check) => {
    const said = answerTo(release, check, { truth, contexts: held }, chance)
    return said === undefined ? [] : [[check.id, said] as const]
  })
  const named = [...truth].filter((cause) => !release.causes[cause]!.isOther)
  const who =
    WHO[
      draw(
        WHO.map(([, share]) => share),
        chance,
      )
    ]![0]
  return {
    id,
    call: '',
    kind: named.length === 0 ? 'unmodelled' : named.length > 1 ? 'several-faults' : 'typical',
    conditions: standing.map((condition) => ({ condition: condition.id })),
    contexts: [],
    displayComplete: chance() < COMPLETE,
    truth: named.map((cause) => ({ cause: release.causes[cause]!.id })),
    knows: Object.fromEntries(answers),
    readings: Object.fromEntries(
      release.readings.map((reading, index) => [reading.id, measured(release, index, truth, chance)]),
    ),
    who,
    tools: who === 'caller' ? [] : ['multimeter', 'screwdriver'],
    mustAsk: [],
    mustNotAdvise: [],
    remedies: [],
    stops: [],
  }
}

/** So many calls, each with at least one condition that stands. */
export function simulatedCalls(release: CompiledRelease, count: number, chance: Chance): Case[] {
  const calls: Case[] = []
  for (let tries = 0; calls.length < count && tries < count * MOST_TRIES; tries++) {
    const call = callOf(release, `drawn-${calls.length}`, chance)
    if (call !== undefined) calls.push(call)
  }
  return calls
}
