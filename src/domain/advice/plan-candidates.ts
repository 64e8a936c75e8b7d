import type { Prepared } from '../diagnosis/prepare.ts'
import type { Limits } from '../findings/finding.ts'
import type { CompiledRemedy } from './compiled.ts'
import type { Gathered } from './gathered.ts'
import { hasComeBack, isPlannedFor } from './goes-with.ts'
import { type Permit, permit } from './permit.ts'
import { calledFor } from './plan-base-rate.ts'
import { remedyCostMinutes } from './remedy-cost.ts'
import { isRuledOutByAnswers } from './requirements.ts'

/** What a plan is made from: what is known, its inference, and what the person at the site may do. */
export interface PlanState {
  known: Gathered
  prepared: Prepared
  posterior: number[]
  limits: Limits
}

/** A cause that a remedy removes, where it stands in the network, with the chance that the remedy removes it. */
export interface Fix {
  cause: number
  probability: number
  success: number
}

/** A remedy worth considering. */
export interface PlanCandidate {
  remedy: number
  fixes: Fix[]
  /** Minutes that it counts for. */
  cost: number
  permit: Permit
  /** The device whose cause it most likely removes. */
  device?: string
}

/** A remedy is considered when it removes a cause at least this likely, and chosen when it clears as much. Judgement. */
export const WORTH_CONSIDERING = 0.03
/** Causes less likely than this are not named among what a remedy fixes. Judgement. */
export const WORTH_NAMING = 0.01
/** A cause at least this likely makes its remedy one of those that the case really calls for. Judgement. */
export const LIKELY = 0.5

export const isLikely = ({ fixes }: PlanCandidate) => fixes.some(({ probability }) => probability >= LIKELY)

/** A remedy that did not last counts for so much of what it does as a rule. Judgement. */
const LASTS_AGAIN = 0.5

/** Where the causes of a remedy stand in the network, one for each device. */
function fixesOf({ known, posterior }: PlanState, remedy: CompiledRemedy): Fix[] {
  const { keys } = known.instance
  return remedy.fixes.flatMap(({ cause, probability }) =>
    known.instance
      .copiesOf(cause)
      .filter((copy) => posterior[copy]! >= WORTH_NAMING && isPlannedFor(known, remedy, keys[copy]!))
      .map((copy) => ({
        cause: copy,
        probability: posterior[copy]!,
        success: probability * (hasComeBack(known, remedy, keys[copy]!) ? LASTS_AGAIN : 1),
      })),
  )
}

/** The device whose cause is the likeliest of those. */
function deviceOf({ known }: PlanState, fixes: readonly Fix[]): string | undefined {
  const [first, ...rest] = fixes
  const likeliest = rest.reduce((best, fix) => (fix.probability > best!.probability ? fix : best), first)
  return likeliest && known.instance.keys[likeliest.cause]!.device
}

function candidateOf(state: PlanState, remedy: number): PlanCandidate {
  const { known, limits } = state
  const { release } = known.instance
  const step = release.remedies[remedy]!
  const fixes = fixesOf(state, step)
  const device = deviceOf(state, fixes)
  return {
    remedy,
    fixes,
    cost: remedyCostMinutes(step),
    permit: permit(release, step, known, limits, device),
    ...(device === undefined ? {} : { device }),
  }
}

/** Remedies of a cause that is likely enough and that something speaks for, as the ontology lists them. */
export function planCandidates(state: PlanState): PlanCandidate[] {
  const { instance, index } = state.known
  const considered = new Set<number>()
  for (let at = 0; at < instance.keys.length; at++)
    if (state.posterior[at]! >= WORTH_CONSIDERING)
      for (const remedy of index.remediesOf[instance.keys[at]!.cause]!) considered.add(remedy)
  const candidates = [...considered].sort((a, b) => a - b).map((remedy) => candidateOf(state, remedy))
  const { remedies } = instance.release
  const isOpen = ({ remedy, fixes, device }: PlanCandidate) =>
    fixes.length > 0 && !isRuledOutByAnswers(state.known, remedies[remedy]!, device)
  return calledFor(state, candidates.filter(isOpen))
}

/** What is fixed once a remedy has been carried out beside those before it. */
export function withFixes(fixed: readonly number[], fixes: readonly Fix[]): number[] {
  const all = fixed.slice()
  for (const { cause, success } of fixes) all[cause] = 1 - (1 - all[cause]!) * (1 - success)
  return all
}
