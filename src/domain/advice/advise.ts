import { leakOnlyProbabilities } from '../diagnosis/clear.ts'
import { conflictBits } from '../diagnosis/conflict.ts'
import { withoutAbsent } from '../diagnosis/left-out.ts'
import { prepare, prepareOnTop } from '../diagnosis/prepare.ts'
import { type CauseSet, topSets } from '../diagnosis/sets.ts'
import { quantised } from '../diagnosis/ties.ts'
import type { Finding, Limits } from '../findings/finding.ts'
import { unique } from './check-order.ts'
import type { CompiledRelease } from './compiled.ts'
import { displayFirst } from './display-first.ts'
import { type Account, decibans, type EvidenceStep, explain } from './explain.ts'
import { dangerQuestions } from './first-questions.ts'
import { deferred, isActFirst } from './first-step.ts'
import { gather } from './gather.ts'
import { isAllCleared } from './gather-cleared.ts'
import { bySource, circumstancesOf, type Gathered } from './gathered.ts'
import { networkUnder, plainNetwork, priorsOf } from './instantiate.ts'
import { liftSteps, withLiftSteps } from './lift-step.ts'
import { searchChecks } from './next-checks.ts'
import { type PlanCost, type PlannedRemedy, planRemedies } from './plan.ts'
import { planOpener, withOpener } from './plan-opener.ts'
import { dangersOnly, inTermsOfFindings, isAboutEvidence } from './refusal.ts'
import { Remedied } from './remedied.ts'
import { type NextCheck, nothingSearched, relevantCauses, repairedAlike, type SearchedChecks } from './search-state.ts'
import { type StopKind, stopOf } from './stop.ts'
import { together } from './together.ts'
import { unexplainedShares } from './unexplained.ts'

export interface AdviseInput {
  release: CompiledRelease
  findings: readonly Finding[]
  limits: Limits
  /** Learned base rates by cause id; the release's own where it says nothing. */
  rates?: ReadonlyMap<string, number>
}
export interface RankedCause {
  cause: number
  device?: string
  probability: number
  priorDecibans: number
  evidence: EvidenceStep[]
}
export interface Advice {
  known: Gathered
  /** Of every cause of the network. */
  posterior: number[]
  causes: RankedCause[]
  hypotheses: { sets: CauseSet[]; covered: number }
  unexplained: { condition: number; device?: string; probability: number }[]
  conflictBits: number
  /** Causes that were in front for a while and that later findings refuted. */
  refutedLeaders: number
  searched: SearchedChecks
  /** Checks that can be put in one breath, where that was asked for. */
  together: NextCheck[]
  plan: PlannedRemedy[]
  cost: PlanCost
  /** Checks that ask for a danger and that nobody has put yet, or that were answered "do not know". */
  dangerQuestions: number[]
  /** The first steps of the plan come before what could still be asked. */
  isActFirst: boolean
  /** Battery items that are judged once the supply is back. */
  judgedLater: Gathered['present']
  /** For each condition that stands: probability that nothing, or something else of its family, brings it about. */
  unexplainedShares: number[]
  /** Remedies of a likely cause. */
  likely: number[]
  stop?: StopKind
}

/** Causes less likely than this are not listed. */
const LISTED_PROBABILITY = 0.005
const MAX_LISTED = 25
/** Steps that move a cause by less are left out of its account only when they are exactly nothing. */
const NO_CHANGE_DECIBANS = 1e-9

/** Causes that could have brought about something that was found; every cause while nothing was. */
function inPlay({ evidence, instance }: Gathered): Set<number> {
  const found = evidence.filter(({ level, findings }) => level > 0 && findings.length > 0)
  if (found.length === 0) return new Set(instance.keys.keys())
  return new Set(found.flatMap(({ effect }) => instance.effects[effect]!.links.map(({ cause }) => cause)))
}

function rank(known: Gathered, posterior: number[], account: Account): RankedCause[] {
  const { keys, release } = known.instance
  const idOf = (index: number) => `${release.causes[keys[index]!.cause]!.id} ${keys[index]!.device ?? ''}`
  const listed = inPlay(known)
  const likely: number[] = []
  for (const index of listed) if (posterior[index]! >= LISTED_PROBABILITY) likely.push(index)
  return likely
    .sort((a, b) => quantised(posterior[b]!) - quantised(posterior[a]!) || (idOf(a) < idOf(b) ? -1 : 1))
    .map((index) => ({
      ...keys[index]!,
      probability: posterior[index]!,
      priorDecibans: decibans(account.prior[index]!),
      evidence: account.stepsOf(index).filter((step) => Math.abs(step.decibans) > NO_CHANGE_DECIBANS),
    }))
    .filter(({ evidence }) => evidence.length > 0)
    .slice(0, MAX_LISTED)
}

function adviseOn(known: Gathered, { findings, limits, rates }: AdviseInput): Advice {
  const prior = priorsOf(known.instance, rates)
  const plain = plainNetwork(known.instance, prior)
  const circumstances = circumstancesOf(known)
  const under = circumstances.isEmpty ? plain : networkUnder(known.instance, prior, circumstances)
  const remedied = known.carried.length === 0 ? undefined : new Remedied(known, under)
  const network = remedied?.network ?? under
  const { silent, given } = bySource(known)
  const quiet = prepare(network, silent)
  const prepared = given.length === 0 ? quiet : prepareOnTop(quiet, given)
  const { posterior } = prepared.inference
  const relevant = relevantCauses(known)
  const groups = repairedAlike(known, relevant)
  const state = { known, prepared, posterior, relevant, groups, limits, ...(remedied && { remedied }) }
  const searched = isAllCleared(known) ? nothingSearched() : searchChecks(state)
  const plan = planRemedies(state)
  const steps = { known, posterior, plan: plan.remedies }
  const { now, later } = deferred(steps, searched.checks)
  searched.checks = unique([...displayFirst(state, searched.refused), ...now])
  const leakOnly = leakOnlyProbabilities(
    prepared,
    known.present.map(({ effect }) => effect),
  )
  const unexplained = known.present.map(({ condition, device }, at) => ({
    condition,
    ...(device === undefined ? {} : { device }),
    probability: leakOnly[at]!,
  }))
  const spoken = silent.length === 0 ? prepared.inference : withoutAbsent(prepared, silent)
  const account = explain(known, { plain, quiet, prepared, spoken, ...(remedied && { remedied }) })
  const conflict = conflictBits(network, given, spoken.logEvidence)
  const { refutedLeaders } = account
  const isAct = isActFirst(steps, searched.checks)
  const explained = { known, posterior, unexplained }
  const stop = stopOf({ ...explained, searched, plan, isActFirst: isAct, refutedLeaders, conflictBits: conflict })
  const isDanger = stop === 'danger'
  const lifts = deferred(steps, liftSteps(state, findings, searched.refused))
  const asked = [...withLiftSteps(searched.checks, lifts.now, stop), ...later, ...withLiftSteps([], lifts.later, stop)]
  const checks = withOpener(state, asked, planOpener(state, findings, plan), stop !== undefined)
  return {
    known,
    posterior,
    causes: rank(known, posterior, account),
    hypotheses: topSets(prepared, { maxSize: 3, candidates: 10, keep: 8 }),
    unexplained,
    conflictBits: conflict,
    refutedLeaders,
    searched: { ...searched, checks: isDanger ? [] : checks },
    together: isDanger ? [] : together(state, searched.checks, limits.questionsAtOnce ?? 0),
    plan: isDanger ? [] : plan.remedies,
    cost: plan.cost,
    dangerQuestions: dangerQuestions(known),
    isActFirst: isAct || later.length > 0,
    judgedLater: plan.judgedLater,
    unexplainedShares: unexplainedShares(explained),
    likely: plan.likely,
    ...(stop === undefined ? {} : { stop }),
  }
}

/**
 * The whole answer to a call: ranked causes with their account, what does not fit, next checks, remedies and a stop.
 * Pure: the same release, findings, limits and rates give the same answer everywhere.
 * @throws DomainError UNKNOWN_ID, QUANTITY_OUT_OF_RANGE, EVIDENCE_IMPOSSIBLE, EVIDENCE_TOO_ENTANGLED
 */
export function advise(input: AdviseInput): Advice {
  const { release, findings } = input
  const known = gather(release, findings, input.limits)
  try {
    return adviseOn(known, input)
  } catch (error) {
    if (!isAboutEvidence(error)) throw error
    // A danger sign is answered even where the rest cannot be worked through.
    const dangers = dangersOnly(release, findings)
    if (dangers === undefined) throw inTermsOfFindings(error, known)
    return adviseOn(gather(release, dangers, input.limits), input)
  }
}
