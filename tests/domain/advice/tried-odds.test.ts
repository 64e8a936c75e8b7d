import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledCheck, CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { decibans } from '../../../src/domain/advice/explain.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import { circumstancesOf, type Gathered } from '../../../src/domain/advice/gathered.ts'
import { networkUnder } from '../../../src/domain/advice/instantiate.ts'
import { oddsAnswers } from '../../../src/domain/advice/odds-answers.ts'
import { Remedied } from '../../../src/domain/advice/remedied.ts'
import { infer, prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { reweighOdds } from '../../../src/domain/diagnosis/reweigh.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { likelihood, sumOver } from '../../support/enumerate.ts'
import { answered, CAUSE, holds, present, smallRelease, tried } from '../../support/small-release.ts'

const CALLER = { who: 'caller', tools: [] } as const
const CLOSE = 1e-12

/** A remedy of the small release with what it removes. */
const removing = (id: string, fixes: Record<number, number>): CompiledRelease['remedies'][number] => ({
  ...smallRelease().remedies[0]!,
  id: `remedy/${id}`,
  fixes: Object.entries(fixes).map(([cause, probability]) => ({ cause: Number(cause), probability })),
})

/** The small release with two remedies of these chances; the worn battery and the dead supply exclude each other if asked for. */
function withRemedies([a, b, c]: readonly [number, number, number], isExclusive: boolean): CompiledRelease {
  const base = smallRelease()
  const { batteryWorn, supplyDead, otherSmall, radioCell } = CAUSE
  const exclusive: readonly number[] = isExclusive ? [batteryWorn, supplyDead] : []
  return {
    ...base,
    causes: base.causes.map((one, at) => (exclusive.includes(at) ? { ...one, group: 'group/power' } : one)),
    remedies: [
      removing('one', { [batteryWorn]: a, [otherSmall]: b }),
      removing('two', { [batteryWorn]: c, [supplyDead]: b, [radioCell]: a }),
    ],
  }
}

/** Probability of each cause now by going through all causes before, and all that the remedies may have removed of them. */
function enumerated({ known }: { known: Gathered }, left: ReadonlyMap<number, number>): number[] {
  const { instance, evidence } = known
  const network = networkUnder(instance, instance.priors, circumstancesOf(known))
  const weighed = (causes: readonly number[], isAsked: (now: readonly number[]) => boolean): number => {
    const removable = causes.filter((cause) => left.has(cause))
    let sum = 0
    for (let mask = 0; mask < 2 ** removable.length; mask++) {
      const removed = removable.filter((_, at) => mask & (1 << at))
      const now = causes.filter((cause) => !removed.includes(cause))
      const chance = removable.reduce(
        (product, cause) => product * (removed.includes(cause) ? 1 - left.get(cause)! : left.get(cause)!),
        1,
      )
      if (isAsked(now)) sum += chance * likelihood(network, evidence, now)
    }
    return sum
  }
  const total = sumOver(network, (causes) => weighed(causes, () => true))
  return network.prior.map(
    (_, cause) => sumOver(network, (causes) => weighed(causes, (now) => now.includes(cause))) / total,
  )
}

const probability = fc.double({ min: 0, max: 0.98, noNaN: true })
const reliability = fc.double({ min: 0.5, max: 1, noNaN: true })
const SHOWN = [present('battery-low'), present('supply-missing'), answered('case-bulged', 'yes')]
const CIRCUMSTANCES = [holds('old-battery'), holds('new-paint', { reliability: 0.8 })]

describe('the posterior after remedies in vain', () => {
  const chances = fc.tuple(probability, probability, probability)

  test('is that of going through every cause before and everything that was removed', () => {
    let worst = 0
    fc.assert(
      fc.property(chances, reliability, fc.boolean(), fc.boolean(), ([a, b, c], r, isExclusive, isTold) => {
        const release = withRemedies([a, b, c], isExclusive)
        const findings = [
          ...SHOWN,
          ...(isTold ? CIRCUMSTANCES : []),
          tried('one', 'no-change', { reliability: r }),
          tried('two', 'no-change'),
        ]
        const advice = advise({ release, findings, limits: CALLER })
        const left = new Map<number, number>([
          [CAUSE.batteryWorn, (1 - r * a) * (1 - c)],
          [CAUSE.otherSmall, 1 - r * b],
          [CAUSE.supplyDead, 1 - b],
          [CAUSE.radioCell, 1 - a],
        ])
        enumerated(advice, left).forEach((exact, cause) => {
          worst = Math.max(worst, Math.abs(exact - advice.posterior[cause]!))
        })
      }),
      { numRuns: 60 },
    )
    expect(worst).toBeLessThan(CLOSE)
  })

  test('is that of a network whose priors are p (1 - r s)', () => {
    const findings = [...SHOWN, tried('replace-battery', 'no-change', { reliability: 0.9 })]
    const { posterior, known } = advise({ release: smallRelease(), findings, limits: CALLER })
    const { instance, evidence } = known
    const before = networkUnder(instance, instance.priors, circumstancesOf(known))
    const prior = before.prior.with(CAUSE.batteryWorn, before.prior[CAUSE.batteryWorn]! * (1 - 0.9 * 0.98))
    const replaced = infer({ ...before, prior }, evidence).posterior
    posterior.forEach((one, cause) => expect(one).toBeCloseTo(replaced[cause]!, 12))
  })

  test('leaves a cause that is removed for certain no chance', () => {
    const release = { ...smallRelease(), remedies: [removing('one', { [CAUSE.batteryWorn]: 1 })] }
    const findings = [...SHOWN, tried('one', 'no-change')]
    expect(advise({ release, findings, limits: CALLER }).posterior[CAUSE.batteryWorn]).toBe(0)
  })

  test('gives what a member of an exclusive group loses to none of them, and not to its rivals', () => {
    const release = withRemedies([0.9, 0, 0], true)
    const prior = (...more: Finding[]) => advise({ release, findings: more, limits: CALLER }).posterior
    const [before, after] = [prior(), prior(tried('one', 'no-change'))]
    expect(after[CAUSE.batteryWorn]).toBeCloseTo(0.1 * before[CAUSE.batteryWorn]!, 12)
    expect(after[CAUSE.supplyDead]).toBeCloseTo(before[CAUSE.supplyDead]!, 12)
  })
})

describe('the account', () => {
  const findings = [
    ...SHOWN,
    ...CIRCUMSTANCES,
    tried('one', 'no-change', { reliability: 0.9 }),
    tried('two', 'no-change'),
  ]
  const [ONE, TWO] = [SHOWN.length + 2, SHOWN.length + 3]
  const causesOf = (isExclusive: boolean, list: readonly Finding[], chances: readonly [number, number, number]) =>
    advise({ release: withRemedies(chances, isExclusive), findings: list, limits: CALLER }).causes

  test.each([false, true])('adds up and says what each item alone is worth (exclusive: %s)', (isExclusive) => {
    const chances = [0.9, 0.7, 0.6] as const
    for (const { cause, priorDecibans, evidence, probability: now } of causesOf(isExclusive, findings, chances)) {
      expect(evidence.reduce((sum, step) => sum + step.decibans, priorDecibans)).toBeCloseTo(decibans(now), 9)
      for (const step of evidence) {
        const rest = findings.filter((_, at) => !step.findings.includes(at))
        const release = withRemedies(chances, isExclusive)
        const without = advise({ release, findings: rest, limits: CALLER }).posterior[cause]!
        expect(decibans(now) - decibans(without)).toBeCloseTo(step.ifLeftOut, 9)
      }
    }
  })

  test('names each remedy by itself where it moves the cause, and speaks against it', () => {
    const causes = causesOf(false, findings, [0.9, 0.7, 0.6])
    const stepsOf = (cause: number) =>
      causes.find((one) => one.cause === cause)!.evidence.filter((step) => step.findings.some((at) => at >= ONE))
    expect(stepsOf(CAUSE.batteryWorn).map((step) => step.findings)).toEqual([[ONE], [TWO]])
    expect(stepsOf(CAUSE.supplyDead).map((step) => step.findings)).toEqual([[TWO]])
    for (const step of stepsOf(CAUSE.batteryWorn)) expect(step.decibans).toBeLessThan(0)
  })

  test('says what a remedy that leaves nothing is worth', () => {
    const told = [...SHOWN, tried('one', 'no-change')]
    const release = {
      ...smallRelease(),
      remedies: [removing('one', { [CAUSE.supplyDead]: 1, [CAUSE.batteryWorn]: 0.5 })],
    }
    const worn = (list: readonly Finding[]) =>
      advise({ release, findings: list, limits: CALLER }).causes.find(({ cause }) => cause === CAUSE.batteryWorn)!
    const step = worn(told).evidence.find(({ findings: at }) => at.includes(SHOWN.length))!
    const change = decibans(worn(told).probability) - decibans(worn(SHOWN).probability)
    expect(step.ifLeftOut).toBeCloseTo(change, 9)
  })
})

test.each([false, true])(
  'what an answer on circumstances would bring is foretold as it comes (exclusive: %s)',
  (isExclusive) => {
    const base = withRemedies([0.9, 0.7, 0.6], isExclusive)
    const sets = [
      { result: 'old', context: 3 },
      { result: 'hot', context: 4 },
    ]
    const ask: CompiledCheck = {
      ...base.checks[3]!,
      id: 'check/ask-age',
      results: ['old', 'hot', 'neither'],
      model: { kind: 'applicability', sets },
    }
    const release = { ...base, checks: [...base.checks, ask] }
    const findings = [...SHOWN, holds('new-paint'), tried('one', 'no-change'), tried('two', 'no-change')]
    const known = gather(release, findings)
    const remedied = new Remedied(known, networkUnder(known.instance, known.instance.priors, circumstancesOf(known)))
    const prepared = prepare(remedied.network, known.evidence)
    const { posterior } = prepared.inference
    const state = { known, prepared, posterior, remedied, relevant: new Set<number>(), groups: [], limits: CALLER }
    const answers = oddsAnswers(state, release.checks.indexOf(ask), undefined)
    expect(answers.map(({ result }) => result)).toEqual(['old', 'hot', 'neither'])
    for (const { result, changes } of answers) {
      const given = advise({ release, findings: [...findings, answered('ask-age', result)], limits: CALLER }).posterior
      reweighOdds(prepared, changes).posterior.forEach((one, cause) => {
        expect(one).toBeCloseTo(given[cause]!, 12)
      })
      expect(given[CAUSE.batteryWorn]).not.toBeCloseTo(posterior[CAUSE.batteryWorn]!, 6)
    }
  },
)
