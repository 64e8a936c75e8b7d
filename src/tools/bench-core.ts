import { type Effect, type Evidence, MAX_STATES, type Network } from '../domain/diagnosis/network.ts'
import { outcomes } from '../domain/diagnosis/outcomes.ts'
import { infer, prepare } from '../domain/diagnosis/prepare.ts'

/** Times of the diagnosis core on made-up networks. Nothing here is asserted: times depend on the machine. */

const CAUSES = 200
const EFFECTS = 50
const CASES = 20
const RUNS_A_CASE = 25
const MOST_PRESENT = 12
const CHECKS = 30

type Random = () => number

/** Repeatable random numbers in [0, 1): mulberry32. */
function randomSource(seed: number): Random {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296
  }
}

const yesNo = (probability: number): number[] => [1 - probability, probability]
const pick = (random: Random, count: number) => Math.floor(random() * count)

/** Effects that each cause reaches: one to four. */
function reachOf(random: Random): number[][] {
  return Array.from({ length: CAUSES }, () => [
    ...new Set(Array.from({ length: 1 + pick(random, 4) }, () => pick(random, EFFECTS))),
  ])
}

function networkOf(random: Random, reach: readonly number[][]): Network {
  const effects: Effect[] = Array.from({ length: EFFECTS }, (_, effect) => ({
    leak: yesNo(0.001),
    links: reach.flatMap((reached, cause) =>
      reached.includes(effect) ? [{ cause, levels: yesNo(0.05 + 0.9 * random()) }] : [],
    ),
  }))
  return { prior: reach.map(() => 10 ** (-3.3 + 2.4 * random())), groups: [], effects }
}

/** What a few random causes would show, `present` findings in all; the other effects absent. */
function evidenceOf(random: Random, reach: readonly number[][], present: number): Evidence[] {
  const on = new Set<number>()
  while (on.size < present) for (const effect of reach[pick(random, CAUSES)]!) if (on.size < present) on.add(effect)
  return Array.from({ length: EFFECTS }, (_, effect) => ({ effect, weights: on.has(effect) ? [0, 1] : [1, 0] }))
}

/** Findings in a ring: each shares a cause with the next, so that all are one component. */
function ring(findings: number): { network: Network; evidence: Evidence[] } {
  const effects = Array.from({ length: findings }, (_, effect) => ({
    leak: yesNo(0.001),
    links: [effect, (effect + 1) % findings].map((cause) => ({ cause, levels: yesNo(0.6) })),
  }))
  return {
    network: { prior: effects.map(() => 0.01), groups: [], effects },
    evidence: effects.map((_, effect) => ({ effect, weights: [0, 1] })),
  }
}

function microseconds(run: () => unknown): number {
  const start = performance.now()
  run()
  return (performance.now() - start) * 1000
}

function line(what: string, times: number[], states: number): void {
  times.sort((a, b) => a - b)
  const at = (share: number) => times[Math.min(times.length - 1, Math.floor(times.length * share))]!.toFixed(1)
  console.log(`${what.padEnd(36)} ${at(0.5).padStart(9)} ${at(0.95).padStart(9)} ${String(states).padStart(8)}`)
}

const mostStates = (network: Network, evidence: readonly Evidence[]) =>
  Math.max(1, ...prepare(network, evidence).partition.components.map(({ states }) => states))

function benchPresent(random: Random, network: Network, reach: readonly number[][], present: number, isShown: boolean) {
  const cases = Array.from({ length: CASES }, () => evidenceOf(random, reach, present))
  const times: number[] = []
  for (let run = 0; run < RUNS_A_CASE; run++)
    for (const evidence of cases) times.push(microseconds(() => infer(network, evidence)))
  if (isShown) line(`${present} present`, times, Math.max(...cases.map((evidence) => mostStates(network, evidence))))
}

function benchRing(findings: number): void {
  const { network, evidence } = ring(findings)
  const times = Array.from({ length: 9 }, () => microseconds(() => infer(network, evidence)))
  line(`ring of ${findings}`, times, 2 ** findings)
}

/** All possible results of some thirty checks after six findings; whatever is not asked is absent. */
function benchChecks(random: Random, network: Network, reach: readonly number[][]): void {
  const times: number[] = []
  for (let run = 0; run < CASES; run++) {
    const full = evidenceOf(random, reach, 6)
    const asked = full.filter(({ weights }) => weights[0] === 1).slice(0, CHECKS)
    const prepared = prepare(
      network,
      full.filter((item) => !asked.includes(item)),
    )
    times.push(microseconds(() => asked.forEach(({ effect }) => void outcomes(prepared, effect))))
  }
  line(`all results of ${CHECKS} checks, 6 present`, times, 0)
}

/** Prints median and 95th percentile in microseconds; the last column is the largest component's joint states. */
export function benchCore(): void {
  const random = randomSource(7)
  const reach = reachOf(random)
  const network = networkOf(random, reach)
  console.log(`diagnosis core, ${CAUSES} causes, ${EFFECTS} effects${' '.repeat(5)} median us    p95 us   states`)
  for (let present = 0; present <= MOST_PRESENT; present++) benchPresent(random, network, reach, present, false)
  for (let present = 0; present <= MOST_PRESENT; present++) benchPresent(random, network, reach, present, true)
  benchRing(12)
  benchRing(Math.log2(MAX_STATES))
  benchChecks(random, network, reach)
}
