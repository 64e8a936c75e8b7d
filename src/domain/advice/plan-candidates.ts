import type { Prepared } from '../diagnosis/prepare.ts'
import type { Limits } from '../findings/finding.ts'
import type { CompiledRemedy } from './compiled.ts'
import type { Gathered } from './gathered.ts'
import { type Permit, permit } from './permit.ts'
import { remedyCostMinutes } from './remedy-cost.ts'

/** What a plan is made from: what is known, its inference, and what the person at the site may do. */
export interface PlanState {
  known: Gathered
  prepared: Prepared
  posterior: Float64Array
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
}

/** A remedy is considered when it removes a cause at least this likely, and chosen when it clears as much. Judgement. */
export const WORTH_CONSIDERING = 0.03
/** Causes less likely than this are not named among what a remedy fixes. Judgement. */
const WORTH_NAMING = 0.01
/** A cause at least this likely makes its remedy one of those that the case really calls for. Judgement. */
const LIKELY = 0.5

export const isLikely = ({ fixes }: PlanCandidate) => fixes.some(({ probability }) => probability >= LIKELY)

/** Where the causes of a remedy stand in the network, one for each device. */
function fixesOf({ known, posterior }: PlanState, remedy: CompiledRemedy): Fix[] {
  return remedy.fixes.flatMap(({ cause, probability }) =>
    known.instance
      .copiesOf(cause)
      .filter((copy) => posterior[copy]! >= WORTH_NAMING)
      .map((copy) => ({ cause: copy, probability: posterior[copy]!, success: probability })),
  )
}

type Unjudged = Omit<PlanCandidate, 'permit'>

/** The device whose cause a remedy most likely removes. */
export function deviceOf({ instance }: Gathered, { fixes }: Unjudged): string | undefined {
  const likeliest = fixes.reduce<Fix | undefined>(
    (best, fix) => (best === undefined || fix.probability > best.probability ? fix : best),
    undefined,
  )
  return likeliest === undefined ? undefined : instance.keys[likeliest.cause]!.device
}

function permitOf({ known, limits }: PlanState, candidate: Unjudged): Permit {
  const { release } = known.instance
  return permit(release, release.remedies[candidate.remedy]!, known, limits, deviceOf(known, candidate))
}

/** Remedies of a cause that is likely enough, as the ontology lists them. */
export function planCandidates(state: PlanState): PlanCandidate[] {
  const { instance, index } = state.known
  const { remedies } = instance.release
  const considered = instance.keys.flatMap(({ cause }, at) =>
    state.posterior[at]! >= WORTH_CONSIDERING ? index.remediesOf[cause]! : [],
  )
  return [...new Set(considered)]
    .sort((a, b) => a - b)
    .map((remedy) => ({
      remedy,
      fixes: fixesOf(state, remedies[remedy]!),
      cost: remedyCostMinutes(remedies[remedy]!),
    }))
    .map((candidate) => ({ ...candidate, permit: permitOf(state, candidate) }))
}

/** What is fixed once a remedy has been carried out beside those before it. */
export function withFixes(fixed: readonly number[], fixes: readonly Fix[]): number[] {
  const all = fixed.slice()
  for (const { cause, success } of fixes) all[cause] = 1 - (1 - all[cause]!) * (1 - success)
  return all
}
