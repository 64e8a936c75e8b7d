import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { binaryEntropyBits, expectedGainBits } from '../../../src/domain/advice/entropy.ts'
import { decibans } from '../../../src/domain/advice/explain.ts'
import { adjustPrior } from '../../../src/domain/diagnosis/adjust-prior.ts'
import { leakOnlyProbability, leakOnProbability } from '../../../src/domain/diagnosis/clear.ts'
import { conflictBits } from '../../../src/domain/diagnosis/conflict.ts'
import type { Evidence, Network } from '../../../src/domain/diagnosis/network.ts'
import { outcomes } from '../../../src/domain/diagnosis/outcomes.ts'
import { infer, prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { topSets } from '../../../src/domain/diagnosis/sets.ts'

interface Written {
  causes: Record<string, number>
  findings: Record<string, { leak: number; links: Record<string, number> }>
  graded?: Record<string, { leak: number[]; links: Record<string, number[]> }>
  groups?: Record<string, string[]> | string[][]
}
interface Given {
  findings: Record<string, boolean | number>
  graded?: Record<string, number[]>
  context?: Record<string, number>
}

const reference = JSON.parse(readFileSync('tests/reference/diagnosis/diagnosis.json', 'utf8'))
const power: Written = reference.networks.power

/** A written network in the engine's form, with the names of its causes and effects. */
function build(written: Written, context: Record<string, number> = {}) {
  const causes = Object.keys(written.causes)
  const graded = written.graded ?? {}
  const effects = [...Object.keys(written.findings), ...Object.keys(graded)]
  const yesNo = (q: number) => [1 - q, q]
  const groups = Object.values(written.groups ?? {}).map((group) => group.map((cause) => causes.indexOf(cause)))
  const network: Network = {
    prior: adjustPrior(
      Object.values(written.causes),
      causes.map((cause) => context[cause] ?? 1),
      groups,
    ),
    groups,
    effects: [
      ...Object.values(written.findings).map(({ leak, links }) => ({
        leak: yesNo(leak),
        links: Object.entries(links).map(([cause, q]) => ({ cause: causes.indexOf(cause), levels: yesNo(q) })),
      })),
      ...Object.values(graded).map(({ leak, links }) => ({
        leak,
        links: Object.entries(links).map(([cause, levels]) => ({ cause: causes.indexOf(cause), levels })),
      })),
    ],
  }
  return { network, causes, effects }
}

function evidenceOf(effects: string[], given: Given): Evidence[] {
  return [
    ...Object.entries(given.findings).map(([name, value]) => {
      const present = Number(value)
      return { effect: effects.indexOf(name), weights: [1 - present, present] }
    }),
    ...Object.entries(given.graded ?? {}).map(([name, weights]) => ({ effect: effects.indexOf(name), weights })),
  ]
}

let worst = 0
function agrees(found: number, printed: number, tolerance: number) {
  worst = Math.max(worst, Math.abs(found - printed))
  expect(Math.abs(found - printed)).toBeLessThanOrEqual(tolerance)
}

test.each(
  reference.posterior as {
    id: string
    note: string
    given: Given
    network?: Written
    expected: any
    tolerance: number
  }[],
)('$id: $note', ({ given, network: written, expected, tolerance }) => {
  const { network, causes, effects } = build(written ?? power, given.context)
  const evidence = evidenceOf(effects, given)
  if (expected.error) {
    expect(() => prepare(network, evidence)).toThrow(expect.objectContaining({ code: expected.error }))
    return
  }
  const prepared = prepare(network, evidence)
  agrees(prepared.inference.logEvidence, expected.logEvidence, tolerance)
  for (const [cause, value] of Object.entries(expected.posterior as Record<string, number>))
    agrees(prepared.inference.posterior[causes.indexOf(cause)]!, value, tolerance)
  for (const [name, value] of Object.entries((expected.leakOn ?? {}) as Record<string, number>))
    agrees(leakOnProbability(prepared, effects.indexOf(name)), value, tolerance)
  for (const [name, value] of Object.entries((expected.leakOnly ?? {}) as Record<string, number>))
    agrees(leakOnlyProbability(prepared, effects.indexOf(name)), value, tolerance)
  const { sets } = topSets(prepared, { maxSize: 7, candidates: 12, keep: expected.topSets?.length ?? 0 })
  sets.forEach((set, index) => agrees(set.probability, expected.topSets[index].probability, tolerance))
})

test('the worst error over the rows is printed', () => {
  console.info(`diagnosis check values: worst absolute difference ${worst.toExponential(2)}`)
  expect(worst).toBeLessThan(1e-9)
})

test('a positive test result in one hundred women means what Gigerenzer and others print', () => {
  for (const { given, expected, tolerance } of reference.published.filter(
    (row: any) => row.given.sensitivity !== undefined,
  )) {
    const { prior, sensitivity, falsePositive } = given
    const q = (sensitivity - falsePositive) / (1 - falsePositive)
    const { network } = build({
      causes: { ill: prior },
      findings: { positive: { leak: falsePositive, links: { ill: q } } },
    })
    expect(
      Math.abs(infer(network, [{ effect: 0, weights: [0, 1] }]).posterior[0]! - expected.posterior),
    ).toBeLessThanOrEqual(tolerance)
  }
})

test('the noisy-OR table for fever comes out as Russell and Norvig print it', () => {
  const { links } = reference.published.find((row: any) => row.id === 'diag-pub-12').given.noisyOr
  const { expected } = reference.published.find((row: any) => row.id === 'diag-pub-12')
  for (const [present, probability] of Object.entries(expected as Record<string, number>)) {
    const priors = Object.fromEntries(
      Object.keys(links).map((cause) => [cause, present.split('+').includes(cause) ? 1 : 0]),
    )
    const { network } = build({ causes: priors, findings: { fever: { leak: 0, links } } })
    expect(1 - Math.exp(infer(network, [{ effect: 0, weights: [1, 0] }]).logEvidence)).toBeCloseTo(probability, 12)
  }
})

test('the sprinkler network, as a mixture over clouds, gives the printed 0.4298 and 0.7079', () => {
  const parts = [
    { S: 0.1, R: 0.8 },
    { S: 0.5, R: 0.2 },
  ].map((causes) =>
    infer(build({ causes, findings: { wet: { leak: 0, links: { S: 0.9, R: 0.9 } } } }).network, [
      { effect: 0, weights: [0, 1] },
    ]),
  )
  const weights = parts.map(({ logEvidence }) => Math.exp(logEvidence) / 2)
  const total = weights[0]! + weights[1]!
  const mixed = (cause: number) =>
    parts.reduce((sum, { posterior }, index) => sum + posterior[cause]! * weights[index]!, 0) / total
  expect(Math.abs(total - 0.6471)).toBeLessThanOrEqual(5e-5)
  expect(Math.abs(mixed(0) - 0.4298)).toBeLessThanOrEqual(5e-5)
  expect(Math.abs(mixed(1) - 0.7079)).toBeLessThanOrEqual(5e-5)
})

test('inclusion and exclusion over two findings holds', () => {
  const { given, expected } = reference.identities[0]
  const { causes, ...findings } = given.twoFindings
  const { network } = build({ causes, findings })
  const probability = (weights: number[][]) =>
    Math.exp(
      infer(
        network,
        weights.map((item, effect) => ({ effect, weights: item })),
      ).logEvidence,
    )
  const [absent, present, open] = [
    [1, 0],
    [0, 1],
    [1, 1],
  ]
  agrees(probability([absent!, open!]), expected['P(f1-)'], 1e-12)
  agrees(probability([open!, absent!]), expected['P(f2-)'], 1e-12)
  agrees(probability([absent!, absent!]), expected['P(f1-,f2-)'], 1e-12)
  agrees(probability([present!, present!]), expected['P(f1+,f2+)'], 1e-12)
})

test('the value of each check, and their order per minute, is the enumerated one', () => {
  const row = reference.valueOfInformation.find((candidate: any) => candidate.id === 'diag-voi-01')
  const { network, effects } = build(power)
  const prepared = prepare(network, evidenceOf(effects, row.given))
  agrees(
    prepared.inference.posterior.reduce((bits, probability) => bits + binaryEntropyBits(probability), 0),
    row.expected['adapter-light-off'].entropyNowBits,
    1e-9,
  )
  const eachAlone = network.prior.map((_, cause) => [cause])
  const rates = Object.entries(row.checks as Record<string, { minutes: number }>).map(([name, { minutes }]) => {
    const results = outcomes(prepared, effects.indexOf(name)).outcomes.map((outcome) => ({ result: name, ...outcome }))
    agrees(results[1]!.probability, row.expected[name].pYes, 1e-9)
    agrees(expectedGainBits(results, eachAlone), row.expected[name].gainBits, 1e-9)
    return { name, rate: expectedGainBits(results, eachAlone) / minutes }
  })
  expect(rates.sort((a, b) => b.rate - a.rate).map(({ name }) => name)).toEqual(row.order)
})

test('binary entropy of 0.9 is 0.469 bits', () => {
  expect(binaryEntropyBits(0.9)).toBeCloseTo(0.468995593589, 12)
})

test('weights of evidence add up from prior to posterior as enumerated', () => {
  const row = reference.evidenceWeights.find((candidate: any) => candidate.id === 'diag-ew-01')
  const { network, causes, effects } = build(power)
  const order = row.order as string[]
  const posteriors = [0, 1, 2, 3].map((count) => {
    const findings = Object.fromEntries(order.slice(0, count).map((name) => [name, row.given.findings[name]]))
    return infer(network, evidenceOf(effects, { findings })).posterior
  })
  for (const [cause, account] of Object.entries(
    row.expected as Record<string, { priorDb: number; stepsDb: Record<string, number>; posteriorDb: number }>,
  )) {
    const at = (step: number) => decibans(posteriors[step]![causes.indexOf(cause)]!)
    agrees(at(0), account.priorDb, 1e-6)
    order.forEach((name, step) => agrees(at(step + 1) - at(step), account.stepsDb[name]!, 1e-6))
    agrees(at(3), account.posteriorDb, 1e-6)
  }
})

test('what each finding changes when the others are known is the enumerated leave-one-out', () => {
  const row = reference.evidenceWeights.find((candidate: any) => candidate.id === 'diag-ew-02')
  const { network, causes, effects } = build(power)
  const all = infer(network, evidenceOf(effects, row.given)).posterior
  for (const name of Object.keys(row.given.findings)) {
    const { [name]: _left, ...findings } = row.given.findings
    const without = infer(network, evidenceOf(effects, { findings })).posterior
    const change = all.map((probability, cause) => decibans(probability) - decibans(without[cause]!))
    for (const [cause, printed] of Object.entries(row.expected.leaveOneOutDb as Record<string, Record<string, number>>))
      agrees(change[causes.indexOf(cause)]!, printed[name]!, 1e-6)
  }
})

test('findings that pull apart show conflict, findings that belong together do not', () => {
  const row = reference.evidenceWeights.find((candidate: any) => candidate.id === 'diag-ew-03')
  const { network, effects } = build(power)
  const bits = (findings: Given['findings']) => conflictBits(network, evidenceOf(effects, { findings }))
  agrees(bits(row.given.contradictory), row.expected.conflictBitsContradictory, 1e-6)
  agrees(bits(row.given.coherent), row.expected.conflictBitsCoherent, 1e-6)
})
