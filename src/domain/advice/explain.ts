import { posteriorWithout } from '../diagnosis/left-out.ts'
import type { Network } from '../diagnosis/network.ts'
import { type Inference, type Prepared, prepareOnTop } from '../diagnosis/prepare.ts'
import { isHigher } from '../diagnosis/ties.ts'
import { circumstanceSteps } from './circumstance-steps.ts'
import { bySource, type Gathered } from './gathered.ts'
import type { Remedied } from './remedied.ts'
import { triedSteps } from './tried-steps.ts'

/** Log-odds in decibans: 10 log10(p / (1 - p)); ends are kept finite. */
export function decibans(probability: number): number {
  const kept = Math.min(Math.max(probability, 1e-12), 1 - 1e-12)
  return 10 * Math.log10(kept / (1 - kept))
}

/** One item of what is known, with what it did to a cause. */
export interface EvidenceStep {
  /** Positions of the findings; empty for what a fully read display does not show. */
  findings: number[]
  /** Change when it was added after the items before it. */
  decibans: number
  /** Change that it makes when everything else is known: what would be lost without it. */
  ifLeftOut: number
}

/** Change of the log-odds of a cause, in decibans. */
const change = (before: readonly number[], after: readonly number[]) => (cause: number) =>
  decibans(after[cause]!) - decibans(before[cause]!)

/** A stage of the account: what is added, and what all the rest comes to without it. */
interface Stage {
  findings: number[]
  upTo: readonly number[]
  without: readonly number[]
}

/** A diagnosis to be accounted for: the network before the circumstances, and what all evidence came to after them. */
export interface Diagnosed {
  plain: Network
  /** Only what a fully read display does not show. */
  quiet: Prepared
  prepared: Prepared
  /** What remedies came to after the circumstances, where any was carried out. */
  remedied?: Remedied
  /** Without what a fully read display does not show. */
  spoken: Pick<Inference, 'posterior'>
}

/** Without evidence the posterior is the prior. */
const priorOf = ({ prior }: Network): readonly number[] => prior

/** What was shown, said and measured, item by item, on top of the circumstances and the remedies. */
function stagesOf(known: Gathered, { quiet, prepared, spoken }: Diagnosed): Stage[] {
  const stages: Stage[] = []
  const { network } = prepared
  const all = prepared.inference.posterior
  const { silent, given } = bySource(known)
  let sofar = quiet
  if (silent.length > 0) stages.push({ findings: [], upTo: quiet.inference.posterior, without: spoken.posterior })
  given.forEach((item, index) => {
    const isLast = index === given.length - 1
    const before = stages.at(-1)?.upTo ?? priorOf(network)
    if (!isLast) sofar = prepareOnTop(sofar, [item])
    stages.push({
      findings: item.findings,
      upTo: isLast ? all : sofar.inference.posterior,
      without: isLast ? before : posteriorWithout(prepared, item.effect),
    })
  })
  return stages
}

export interface Account {
  prior: readonly number[]
  stepsOf: (cause: number) => EvidenceStep[]
  /** How many causes were in front for a while and then lost most of their standing. */
  refutedLeaders: number
}

/** A cause counts as in front from this probability on, and as refuted when it falls by so much. Judgement. */
const IN_FRONT = 0.3
const REFUTED_DECIBANS = 5

function likeliest(probabilities: readonly number[]): number {
  let front = 0
  for (let cause = 1; cause < probabilities.length; cause++)
    if (isHigher(probabilities[cause]!, probabilities[front]!)) front = cause
  return front
}

/** Causes that were in front at some stage and that a later stage refuted. */
function refutedLeaders(stages: readonly (readonly number[])[]): number {
  const last = stages.at(-1)!
  const fronts = stages.map((probabilities) => likeliest(probabilities))
  const refuted = fronts.filter((cause, stage) => {
    const then = stages[stage]![cause]!
    return then >= IN_FRONT && decibans(then) - decibans(last[cause]!) >= REFUTED_DECIBANS
  })
  return new Set(refuted).size
}

/**
 * Account of a diagnosis in two readings. Additive: circumstances first (those that raise a cause, then those that lower it),
 * then remedies that were tried, then silence, then conditions, answers and readings, whatever order they were given in; prior and steps add up exactly to
 * the posterior, and a step depends on those before it, as in any additive account.
 * Left out: what each item changes when all the others are known; free of order, and it does not add up.
 * @source I. J. Good, Probability and the Weighing of Evidence (1950), from memory
 */
export function explain(known: Gathered, diagnosed: Diagnosed): Account {
  const { plain, prepared, remedied } = diagnosed
  const prior = priorOf(plain)
  const under = priorOf(prepared.network)
  const ofCircumstances = circumstanceSteps(known, plain.prior, diagnosed, decibans)
  const ofTried = remedied === undefined ? () => [] : triedSteps(known, remedied, prepared, decibans)
  const stages = stagesOf(known, diagnosed)
  const last = stages.at(-1)?.upTo ?? under
  const items = stages.map(({ findings, upTo, without }, index) => ({
    findings,
    added: change(stages[index - 1]?.upTo ?? under, upTo),
    left: change(without, last),
  }))
  const stepsOf = (cause: number): EvidenceStep[] => [
    ...ofCircumstances(cause),
    ...ofTried(cause),
    ...items.map(({ findings, added, left }) => ({ findings, decibans: added(cause), ifLeftOut: left(cause) })),
  ]
  return { prior, stepsOf, refutedLeaders: refutedLeaders([prior, under, ...stages.map(({ upTo }) => upTo)]) }
}
