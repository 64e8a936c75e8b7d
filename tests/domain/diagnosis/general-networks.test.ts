import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { decibans } from '../../../src/domain/advice/explain.ts'
import type { Network } from '../../../src/domain/diagnosis/network.ts'
import { infer } from '../../../src/domain/diagnosis/prepare.ts'
import { type Configuration, conditional, configurations, type GeneralNetwork } from '../../support/general-network.ts'
import { hardCase } from '../../support/hard-network.ts'

interface Row {
  id: string
  given: { network?: string; evidence?: Configuration; query?: string; then?: Configuration; [key: string]: unknown }
  expected: any
  tolerance: number
}
const reference: { networks: Record<string, GeneralNetwork>; rows: Row[] } = JSON.parse(
  readFileSync('tests/reference/diagnosis/general-networks.json', 'utf8'),
)
const row = (id: string) => reference.rows.find((candidate) => candidate.id === id)!
const near = (found: number, printed: number, tolerance: number) =>
  expect(Math.abs(found - printed)).toBeLessThanOrEqual(tolerance)

test.each(['01', '02', '03', '04', '05', '06'])('the enumerator gives the printed burglary figure %s', (number) => {
  const { given, expected, tolerance } = row(`diag-pub-${number}`)
  const network = reference.networks[given.network!]!
  near(conditional(network, given.query!, given.evidence!), expected.probability, tolerance)
  if (given.then)
    near(conditional(network, given.query!, { ...given.evidence, ...given.then }), expected.afterThen, tolerance)
})

test.each(['09', '10'])('the enumerator gives the chest clinic marginals of row %s', (number) => {
  const { given, expected, tolerance } = row(`diag-pub-${number}`)
  for (const [name, value] of Object.entries(expected as Record<string, number>))
    near(conditional(reference.networks.asia!, name, given.evidence!), value, tolerance)
})

test('the most probable chest clinic configuration is the enumerated one', () => {
  const { given, expected } = row('diag-pub-11')
  const [best] = configurations(reference.networks.asia!)
    .filter(({ values }) => Object.entries(given.evidence!).every(([name, value]) => values[name] === value))
    .sort((a, b) => b.probability - a.probability)
  expect(best!.values).toMatchObject(expected.configuration)
  // Half a unit in the last printed place: the row prints seven decimals.
  near(best!.probability, expected.jointProbability, 5e-8)
})

/** A two-layer yes-no network as tables, to be run through the general enumerator. */
function asTables(network: Network): GeneralNetwork {
  const tables: GeneralNetwork = {}
  network.prior.forEach((prior, cause) => {
    tables[`c${cause}`] = { parents: [], table: [prior] }
  })
  network.effects.forEach(({ leak, links }, effect) => {
    const rows = Array.from({ length: 2 ** links.length }, (_, index) =>
      links.reduce(
        (absent, { levels }, position) => absent * ((index >> (links.length - 1 - position)) & 1 ? levels[0]! : 1),
        leak[0]!,
      ),
    )
    tables[`e${effect}`] = { parents: links.map(({ cause }) => `c${cause}`), table: rows.map((absent) => 1 - absent) }
  })
  return tables
}

/** Every effect as yes-no, no groups, leaks that the tables' 1 - P(absent) can hold. */
function twoLevel({ prior, effects }: Network): Network {
  const collapsed = (levels: readonly number[], least: number) => {
    const above = Math.max(1 - levels[0]!, least)
    return [1 - above, above]
  }
  return {
    prior,
    groups: [],
    effects: effects.map(({ leak, links }) => ({
      leak: collapsed(leak, 1e-4),
      links: links.map(({ cause, levels }) => ({ cause, levels: collapsed(levels, 0) })),
    })),
  }
}

test('the engine agrees with the enumerator that gives the printed figures', () => {
  let worst = 0
  let compared = 0
  for (let seed = 1; seed <= 400; seed++) {
    const network = twoLevel(hardCase(seed).network)
    if (network.prior.length + network.effects.length > 11) continue
    const states = network.effects.map((_, effect) => effect % 3 !== 2)
    const evidence = states.map((present, effect) => ({ effect, weights: present ? [0, 1] : [1, 0] }))
    const given = Object.fromEntries(states.map((present, effect) => [`e${effect}`, present]))
    const { posterior } = infer(network, evidence)
    const tables = asTables(network)
    posterior.forEach((value, cause) => {
      worst = Math.max(worst, Math.abs(value - conditional(tables, `c${cause}`, given)))
      compared++
    })
  }
  console.info(`engine against the general enumerator, ${compared} posteriors: worst ${worst.toExponential(2)}`)
  expect(compared).toBeGreaterThan(1000)
  expect(worst).toBeLessThan(1e-12)
})

test('a link given with the background is converted and comes back', () => {
  const { given, expected, tolerance } = row('diag-pub-17')
  const leak = given.leak as number
  const q = ((given.probabilityWithCauseAndBackground as number) - leak) / (1 - leak)
  near(q, expected.linkProbability, tolerance)
  const network = {
    prior: [1],
    groups: [],
    effects: [{ leak: [1 - leak, leak], links: [{ cause: 0, levels: [1 - q, q] }] }],
  }
  near(Math.exp(infer(network, [{ effect: 0, weights: [0, 1] }]).logEvidence), expected.backAgain, tolerance)
})

test('likelihood ratios of 2 and 25/3 weigh 3.01 and 9.21 decibans', () => {
  const { given, expected, tolerance } = row('diag-pub-18')
  const effects = (given.likelihoodRatios as number[]).map((ratio) => ({
    leak: [0.96, 0.04],
    links: [{ cause: 0, levels: [(1 - 0.04 * ratio) / 0.96, (0.04 * ratio - 0.04) / 0.96] }],
  }))
  const network = { prior: [given.priorProbability as number], groups: [], effects }
  const seen = effects.map((_, effect) => ({ effect, weights: [0, 1] }))
  const after = [0, ...seen.map((_, index) => index + 1)].map((count) =>
    decibans(infer(network, seen.slice(0, count)).posterior[0]!),
  )
  seen.forEach((_, index) => near(after[index + 1]! - after[index]!, expected.decibans[index], tolerance))
})
