import { describe, expect, test } from 'vitest'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import type { Evidence, Network } from '../../../src/domain/diagnosis/network.ts'
import { infer, prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { DomainError } from '../../../src/domain/errors.ts'
import { binomialInterval } from '../../../src/domain/histories/binomial.ts'
import { calibrate, type Forecast } from '../../../src/domain/learning/calibration.ts'
import { rateInterval } from '../../../src/domain/learning/estimate.ts'
import { learnRates, ratesOf } from '../../../src/domain/learning/learn.ts'
import type { LearningFacts, Outcome } from '../../../src/domain/learning/outcome.ts'
import { poolCounts, pooledRates } from '../../../src/domain/learning/pool.ts'
import { tallyOutcomes } from '../../../src/domain/learning/tally.ts'
import { weighTally } from '../../../src/domain/learning/weigh.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import { drawsFrom } from '../../../src/tools/cases/draws.ts'
import { closedCall, drawCauses, drawEvidence, drawRates } from '../../support/simulated-shop.ts'

/** The network as it stands without devices: its causes of devices stand for one that is spoken of. */
const release: CompiledRelease = {
  ...currentRelease().compiled,
  causes: currentRelease().compiled.causes.map((cause) => ({ ...cause, isPerDevice: false })),
}
const SEEDS = [1, 2, 3, 4, 5, 6]
const NONE = new Map<string, readonly string[]>()
const facts: LearningFacts = {
  causes: new Map(
    release.causes.map(({ id, group }) => [
      id,
      { isPerDevice: false, remedies: new Set<string>(), ...(group === undefined ? {} : { group }) },
    ]),
  ),
  remedies: new Set(),
}
const learnedFrom = (outcomes: readonly Outcome[]) =>
  learnRates(weighTally(tallyOutcomes(outcomes, facts), 0), release.causes, NONE).causes

/** Shops whose rates differ from the published ones, and what they closed. */
function simulate(seed: number, calls: number, isKnown: (random: () => number) => boolean, ratesOfUnknown?: 'others') {
  const random = drawsFrom(seed)
  const rates = drawRates(release, random)
  const unknownRates = ratesOfUnknown === undefined ? rates : drawRates(release, random)
  const closed = Array.from({ length: calls }, () => {
    const known = isKnown(random)
    return { known, causes: drawCauses(release, known ? rates : unknownRates, random) }
  })
  const outcomes = closed.map(({ known, causes }) => closedCall(release, causes, known))
  const knownShare = closed.filter(({ known }) => known).length / calls
  const truth = rates.map((rate, cause) => knownShare * rate + (1 - knownShare) * unknownRates[cause]!)
  return { random, rates: truth, outcomes, learned: learnedFrom(outcomes) }
}

/** Share of planted rates that lie in their 90 % interval, and root mean square misses in the rate's own share. */
function coverage(runs: Pick<ReturnType<typeof simulate>, 'rates' | 'learned'>[]) {
  let [inside, count, squares, publishedSquares] = [0, 0, 0, 0]
  for (const { rates, learned } of runs)
    learned.forEach(({ estimate, published }, cause) => {
      const { low, high } = rateInterval(estimate, 0.9)
      if (low <= rates[cause]! && rates[cause]! <= high) inside++
      count++
      squares += (estimate.mean - rates[cause]!) ** 2
      publishedSquares += (published - rates[cause]!) ** 2
    })
  return {
    share: inside / count,
    count,
    rms: Math.sqrt(squares / count),
    publishedRms: Math.sqrt(publishedSquares / count),
  }
}
const told = (what: string, { share, count, rms, publishedRms }: ReturnType<typeof coverage>) =>
  console.info(
    `${what}: ${(100 * share).toFixed(2)} % of ${count} planted rates in their 90 % interval; ` +
      `root mean square miss ${rms.toExponential(2)}, of the published rates ${publishedRms.toExponential(2)}`,
  )
/** Three standard errors of a share of 90 %. */
const MARGIN = (count: number) => 3 * Math.sqrt((0.9 * 0.1) / count)

describe('planted rates', () => {
  test.each([100, 1000, 5000])('are recovered from %i calls whose causes are all known', (calls) => {
    const found = coverage(SEEDS.map((seed) => simulate(seed, calls, () => true)))
    told(`${calls} known calls`, found)
    expect(Math.abs(found.share - 0.9)).toBeLessThan(MARGIN(found.count))
    expect(found.rms).toBeLessThan(found.publishedRms)
  })

  test('come nearer with more calls', () => {
    const rms = [100, 1000, 5000].map((calls) => coverage(SEEDS.map((seed) => simulate(seed, calls, () => true))).rms)
    expect(rms[1]).toBeLessThan(rms[0]!)
    expect(rms[2]).toBeLessThan(rms[1]!)
  })

  test('are covered when three calls in ten end unknown, whatever their causes', () => {
    const isKnown = (random: () => number) => random() < 0.7
    const alike = coverage(SEEDS.map((seed) => simulate(seed, 1000, isKnown)))
    told('unknown calls like the known ones', alike)
    expect(Math.abs(alike.share - 0.9)).toBeLessThan(MARGIN(alike.count))
    const unlike = coverage(SEEDS.map((seed) => simulate(seed, 1000, isKnown, 'others')))
    told('unknown calls of other rates', unlike)
    expect(unlike.share).toBeGreaterThan(0.9 - MARGIN(unlike.count))
  })

  test('are missed by counting only what was confirmed, and by counting the rest as free of causes', () => {
    const isKnown = (random: () => number) => random() < 0.5
    const runs = SEEDS.map((seed) => simulate(seed, 3000, isKnown, 'others'))
    const shareWith = (keep: (outcome: Outcome) => Outcome[]) =>
      coverage(runs.map((run) => ({ ...run, learned: learnedFrom(run.outcomes.flatMap(keep)) }))).share
    const known = shareWith((one) => (one.conclusion === 'confirmed' ? [one] : []))
    const free = shareWith((one) => [
      one.conclusion === 'confirmed'
        ? one
        : { ...one, conclusion: 'confirmed', confirmed: [{ cause: 'none', by: 'check' }] },
    ])
    const ours = coverage(runs).share
    console.info(
      `half unknown: ours ${ours.toFixed(3)}, confirmed only ${known.toFixed(3)}, rest free ${free.toFixed(3)}`,
    )
    expect(ours).toBeGreaterThan(0.88)
    expect(known).toBeLessThan(ours - 0.1)
    expect(free).toBeLessThan(ours - 0.1)
  })
})

describe('a pool', () => {
  test('brings a shop with few calls nearer to its rates, and its interval still holds them', () => {
    const runs = Array.from({ length: 10 }, (_, at) => 31 + at).map((seed) => {
      const random = drawsFrom(seed)
      // A trade whose rates differ from the published ones, and shops that differ half as much from their trade.
      const trade = drawRates(release, random)
      const ofTrade: CompiledRelease = {
        ...release,
        causes: release.causes.map((cause, at) => ({ ...cause, prior: Math.max(trade[at]!, 1e-5) })),
      }
      const shop = (calls: number) => {
        const rates = drawRates(ofTrade, random, 4)
        const outcomes = Array.from({ length: calls }, () =>
          closedCall(release, drawCauses(release, rates, random), true),
        )
        return { rates, counts: weighTally(tallyOutcomes(outcomes, facts), 0) }
      }
      const others = Array.from({ length: 12 }, () => shop(800))
      const small = shop(40)
      const { pool, shares } = poolCounts(
        [small, ...others].map(({ counts }) => counts),
        () => false,
      )!
      const pooled = pooledRates(pool, shares[0], release.causes)
      const { counts, rates } = small
      return {
        pooled: pooled.size,
        alone: { rates, learned: learnRates(counts, release.causes, NONE).causes },
        together: { rates, learned: learnRates(counts, release.causes, NONE, pooled).causes },
      }
    })
    const alone = coverage(runs.map((run) => run.alone))
    const together = coverage(runs.map((run) => run.together))
    told('40 calls alone', alone)
    told(`40 calls and a pool of 12 others (speaks of ${runs.map(({ pooled }) => pooled).join(', ')} causes)`, together)
    expect(together.rms).toBeLessThan(0.8 * alone.rms)
    expect(together.share).toBeGreaterThan(0.8)
  })
})

describe('the engine on learned rates', () => {
  const shown = release.conditions.map(({ effect }) => effect)
  const networkOf = (prior: number[]): Network => {
    const groups = new Map<string, number[]>()
    release.causes.forEach(({ group }, cause) => {
      if (group !== undefined) groups.set(group, [...(groups.get(group) ?? []), cause])
    })
    return { prior, groups: [...groups.values()], effects: release.effects }
  }

  /** Whether the findings of a call are not too many on the same causes, which the engine refuses. */
  function canBeWorkedThrough(network: Network, evidence: readonly Evidence[]): boolean {
    try {
      prepare(network, evidence)
      return true
    } catch (error) {
      if (error instanceof DomainError && error.code === 'EVIDENCE_TOO_ENTANGLED') return false
      throw error
    }
  }

  /** Forecasts of new calls of a shop, on the published, the learned and the true rates. */
  function forecasts(seed: number, calls: number) {
    const { random, rates, learned } = simulate(seed, 2000, () => true)
    const byId = ratesOf({ causes: learned, frozen: [] })
    const networks = {
      published: networkOf(release.causes.map(({ prior }) => prior)),
      learned: networkOf(release.causes.map(({ id, prior }) => byId.get(id) ?? prior)),
      planted: networkOf(rates),
    }
    const made = { published: [] as Forecast[][], learned: [] as Forecast[][], planted: [] as Forecast[][] }
    let entangled = 0
    for (let call = 0; call < calls; call++) {
      const present = new Set(drawCauses(release, rates, random))
      const evidence = drawEvidence(networks.planted, shown, [...present], random)
      if (!canBeWorkedThrough(networks.planted, evidence)) {
        entangled++
        continue
      }
      for (const name of ['published', 'learned', 'planted'] as const) {
        const { posterior } = infer(networks[name], evidence)
        made[name].push(Array.from(posterior, (probability, cause) => ({ probability, happened: present.has(cause) })))
      }
    }
    expect(entangled).toBeLessThan(0.01 * calls)
    return made
  }

  test('surprises less than on published ones where the shop differs, nearly as little as on the planted ones', () => {
    const scores = [11, 12, 13].map((seed) => {
      const { published, learned, planted } = forecasts(seed, 400)
      return [published, learned, planted].map((calls) => calibrate(calls).logScore.value * release.causes.length)
    })
    const mean = [0, 1, 2].map((at) => scores.reduce((sum, row) => sum + row[at]!, 0) / scores.length)
    console.info(
      `log score a call [nat]: published ${mean[0]!.toFixed(4)}, learned ${mean[1]!.toFixed(4)}, planted ${mean[2]!.toFixed(4)}`,
    )
    for (const [published, learned] of scores) expect(learned).toBeLessThan(published!)
    expect(mean[0]! - mean[1]!).toBeGreaterThan(0.5 * (mean[0]! - mean[2]!))
  })

  test('does not confirm itself: calls closed on its first suggestion alone leave every rate where it was', () => {
    const random = drawsFrom(41)
    const rates = release.causes.map(({ prior }) => prior)
    const network = networkOf(rates)
    const suggested = Array.from({ length: 400 }, (): Outcome => {
      const { posterior } = infer(network, drawEvidence(network, shown, drawCauses(release, rates, random), random))
      const first = posterior.indexOf(Math.max(...posterior))
      const call = closedCall(release, [], true)
      return { ...call, confirmed: [{ cause: release.causes[first]!.id, by: 'repair' }] }
    })
    const counted = suggested.map((one) => ({
      ...one,
      confirmed: one.confirmed.map((entry) => ({ ...entry, by: 'check' as const })),
    }))
    const most = (outcomes: Outcome[]) =>
      Math.max(...learnedFrom(outcomes).map(({ estimate, published }) => Math.abs(Math.log(estimate.mean / published))))
    console.info(
      `400 suggestions taken for causes: rates move by a factor of up to ${Math.exp(most(counted)).toFixed(2)}; ours ${Math.exp(most(suggested))}`,
    )
    expect(most(counted)).toBeGreaterThan(0.5)
    expect(most(suggested)).toBe(0)
  })

  test('stays calibrated: each bin holds its share within exact binomial limits', () => {
    const { bins } = calibrate(forecasts(21, 600).learned)
    let worst = 0
    for (const { from, to, count, meanProbability, happened } of bins) {
      const { low, high } = binomialInterval(happened, count, 0.999)
      worst = Math.max(worst, Math.abs(meanProbability - happened / count))
      expect(meanProbability, `${from} to ${to}: ${happened} of ${count}`).toBeGreaterThanOrEqual(low)
      expect(meanProbability, `${from} to ${to}: ${happened} of ${count}`).toBeLessThanOrEqual(high)
    }
    console.info(`reliability on learned rates: ${bins.length} bins, worst gap ${worst.toFixed(4)}`)
  })
})
