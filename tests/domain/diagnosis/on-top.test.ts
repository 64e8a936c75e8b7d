import { expect, test } from 'vitest'
import {
  clearing,
  clearingEach,
  leakOnlyProbabilities,
  leakOnlyProbability,
} from '../../../src/domain/diagnosis/clear.ts'
import { posteriorWithout, withoutAbsent } from '../../../src/domain/diagnosis/left-out.ts'
import type { Evidence, Network } from '../../../src/domain/diagnosis/network.ts'
import { infer, prepare, prepareOnTop } from '../../../src/domain/diagnosis/prepare.ts'
import { hardCase } from '../../support/hard-network.ts'

const seeds = Array.from({ length: 600 }, (_, index) => index + 1)

function worst(errors: readonly number[]): number {
  expect(errors.length).toBeGreaterThan(500)
  return errors.reduce((most, error) => (Number.isNaN(error) ? Number.POSITIVE_INFINITY : Math.max(most, error)), 0)
}

const differences = (a: ArrayLike<number>, b: ArrayLike<number>) =>
  Array.from(a, (value, index) => Math.abs(value - b[index]!))

test('evidence put on top of other evidence, item by item, comes to what all of it at once comes to', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence } = hardCase(seed)
    const atOnce = infer(network, evidence)
    const onTop = evidence.reduce((base, item) => prepareOnTop(base, [item]), prepare(network, [])).inference
    return [...differences(onTop.posterior, atOnce.posterior), Math.abs(onTop.logEvidence - atOnce.logEvidence)]
  })
  expect(worst(errors)).toBeLessThan(1e-12)
})

test('a second item on an effect that was observed already counts on top as it does at once', () => {
  const { network, evidence } = hardCase(3)
  const again = { ...evidence[0]!, weights: evidence[0]!.weights.map((weight) => 0.5 * weight + 0.2) }
  const onTop = prepareOnTop(prepare(network, evidence), [again]).inference
  const atOnce = infer(network, [...evidence, again])
  expect(Math.max(...differences(onTop.posterior, atOnce.posterior))).toBeLessThan(1e-12)
})

test('an effect left out leaves what evidence without it comes to', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence } = hardCase(seed)
    const prepared = prepare(network, evidence)
    return [...new Set(evidence.map(({ effect }) => effect))].flatMap((left) => {
      const rest = evidence.filter(({ effect }) => effect !== left)
      return differences(posteriorWithout(prepared, left), infer(network, rest).posterior)
    })
  })
  expect(worst(errors)).toBeLessThan(1e-12)
})

test('absent effects taken back together leave what the other evidence comes to', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence } = hardCase(seed)
    const isAbsent = ({ effect, weights }: Evidence) =>
      weights.every((weight, level) => weight > 0 === (level === 0)) &&
      network.effects[effect]!.links.every(({ levels }) => levels[0]! > 0) &&
      evidence.filter((other) => other.effect === effect).length === 1
    const absent = evidence.filter(isAbsent)
    if (absent.length === 0) return []
    const rest = infer(
      network,
      evidence.filter((one) => !absent.includes(one)),
    )
    const found = withoutAbsent(prepare(network, evidence), absent)
    return [...differences(found.posterior, rest.posterior), Math.abs(found.logEvidence - rest.logEvidence)]
  })
  expect(worst(errors)).toBeLessThan(1e-12)
})

/** Findings of three sorts on many devices, tied by the same few causes: gone through by assignments. */
function manyDevices(): { network: Network; shown: number[] } {
  const levels = (share: number) => [1 - share, share]
  const shared = [0.9, 0.5, 0.2].map((share, cause) => ({ cause, levels: levels(share) }))
  const own = (device: number) => ({ cause: 3 + device, levels: levels(device % 3 === 0 ? 0.8 : 0.4) })
  const leak = levels(0.01)
  const effects = Array.from({ length: 30 }, (_, device) => ({ leak, links: [...shared, own(device)] }))
  const prior = [0.01, 0.02, 0.03, ...effects.map((_, device) => (device % 2 === 0 ? 0.05 : 0.1))]
  return { network: { prior, groups: [], effects }, shown: [...effects.keys()] }
}

test('each watched effect clears, and is left to its leak, as it is when it is watched alone', () => {
  const { network, shown } = manyDevices()
  const prepared = prepare(
    network,
    shown.map((effect) => ({ effect, weights: effect % 5 === 0 ? [0.2, 0.8] : [0, 1] })),
  )
  expect(prepared.partition.components[0]!.isByAssignment).toBe(true)
  const fixed = network.prior.map((_, cause) => (cause % 4) / 3)
  const alone = shown.map((effect) => clearing(prepared, [effect])(fixed))
  expect(Math.max(...differences(clearingEach(prepared, shown)(fixed), alone))).toBeLessThan(1e-12)
  const leaks = shown.map((effect) => leakOnlyProbability(prepared, effect))
  expect(Math.max(...differences(leakOnlyProbabilities(prepared, shown), leaks))).toBeLessThan(1e-12)
})

test('devices that nothing tells apart are as likely as if each were gone through', () => {
  const { network, shown } = manyDevices()
  const evidence = shown.map((effect) => ({ effect, weights: [0, 1] }))
  const found = infer(network, evidence)
  let [evidenceWeight, first] = [0, 0]
  for (let world = 0; world < 8; world++) {
    const on = [0, 1, 2].map((cause) => (world >> cause) & 1)
    const weight = shown.reduce(
      (product, effect) => {
        const { leak, links } = network.effects[effect]!
        const absent = links.reduce((rest, { cause, levels }) => {
          const present = cause < 3 ? on[cause]! : network.prior[cause]!
          return rest * (1 - present * levels[1]!)
        }, leak[0]!)
        return product * (1 - absent)
      },
      on.reduce((product, isOn, cause) => product * (isOn ? network.prior[cause]! : 1 - network.prior[cause]!), 1),
    )
    evidenceWeight += weight
    if (on[0]) first += weight
  }
  expect(found.logEvidence).toBeCloseTo(Math.log(evidenceWeight), 9)
  expect(found.posterior[0]).toBeCloseTo(first / evidenceWeight, 12)
})
