import type { Advice } from '../../domain/advice/advise.ts'
import { circumstancesOf } from '../../domain/advice/gathered.ts'
import { type Instance, networkUnder, priorsOf } from '../../domain/advice/instantiate.ts'
import type { Effect, Network } from '../../domain/diagnosis/network.ts'
import { prepare } from '../../domain/diagnosis/prepare.ts'
import { isTrue, type Played } from './play.ts'

/** A number of the ontology, and how far one deviation of it moves what is thought of the true causes, over all calls. */
export interface Mattering {
  name: string
  calls: number
  moved: number
}

/** A way to change one number of a network. */
interface Move {
  name: string
  network: Network
}

const raised = (levels: readonly number[], deviation: number): number[] => {
  const odds = levels.map((share, level) => (level === 0 ? share : share * Math.exp(deviation)))
  const sum = odds.reduce((total, share) => total + share, 0)
  return odds.map((share) => share / sum)
}
const raisedPrior = (prior: number, deviation: number) => raised([1 - prior, prior], deviation)[1]!
const replaced = <T>(list: readonly T[], at: number, value: T): T[] =>
  list.map((item, index) => (index === at ? value : item))

/** Names of the effects of a release: the condition, the check or the reading that each stands behind. */
function effectNames({ release, devices, effectOf }: Instance): Map<number, string> {
  const names = new Map<number, string>()
  const name = (effect: number | undefined, id: string) => {
    if (effect === undefined) return
    for (const device of [undefined, ...devices]) names.set(effectOf(effect, device), id)
  }
  for (const { effect, id } of release.conditions) name(effect, id)
  for (const { model, id } of release.checks) if (model.kind === 'observation') name(model.effect, id)
  for (const { low, high, id } of release.readings) for (const effect of [low, high]) name(effect, id)
  return names
}

/** Every number that what was found in a call hangs on, each moved alone. */
function* movesOf({ known }: Advice, network: Network, deviation: number): Generator<Move> {
  const { instance, evidence } = known
  const names = effectNames(instance)
  const causeName = (cause: number) => instance.release.causes[instance.keys[cause]!.cause]!.id
  const found = evidence.filter(({ level, findings }) => level > 0 && findings.length > 0)
  const inPlay = new Set(found.flatMap(({ effect }) => network.effects[effect]!.links.map(({ cause }) => cause)))
  for (const cause of inPlay)
    yield {
      name: `${causeName(cause)} base rate`,
      network: { ...network, prior: replaced(network.prior, cause, raisedPrior(network.prior[cause]!, deviation)) },
    }
  for (const { effect } of evidence.filter(({ findings }) => findings.length > 0)) {
    const { leak, links } = network.effects[effect]!
    const withEffect = (changed: Effect) => ({ ...network, effects: replaced(network.effects, effect, changed) })
    const name = names.get(effect)!
    yield { name: `${name} background`, network: withEffect({ leak: raised(leak, deviation), links }) }
    for (const [at, { cause, levels }] of links.entries())
      if (inPlay.has(cause))
        yield {
          name: `${causeName(cause)} -> ${name}`,
          network: withEffect({ leak, links: replaced(links, at, { cause, levels: raised(levels, deviation) }) }),
        }
  }
}

/** Numbers in the order of how much one deviation of each changes the probability of the true causes at the end. */
export function numbersThatMatter(played: readonly Played[], deviation: number): Mattering[] {
  const sums = new Map<string, Mattering>()
  for (const call of played) {
    const advice = call.advices.at(-1)!
    const { instance, evidence } = advice.known
    const truth = instance.keys.flatMap((_, index) => (isTrue(call.one, advice, index) ? [index] : []))
    if (truth.length === 0) continue
    const network = networkUnder(instance, priorsOf(instance, undefined), circumstancesOf(advice.known))
    for (const { name, network: changed } of movesOf(advice, network, deviation)) {
      const { posterior } = prepare(changed, evidence).inference
      const moved = truth.reduce((sum, cause) => sum + Math.abs(posterior[cause]! - advice.posterior[cause]!), 0)
      const before = sums.get(name) ?? { name, calls: 0, moved: 0 }
      sums.set(name, { name, calls: before.calls + 1, moved: before.moved + moved })
    }
  }
  return [...sums.values()].sort((a, b) => b.moved - a.moved || (a.name < b.name ? -1 : 1))
}
