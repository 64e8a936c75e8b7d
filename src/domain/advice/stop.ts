import type { Gathered } from './gathered.ts'
import type { SearchedChecks } from './next-checks.ts'
import type { Permit, RefusalReason } from './permit.ts'
import type { Plan } from './plan.ts'

export type StopKind = 'danger' | 'confident' | 'does-not-fit' | 'needs-technician' | 'no-useful-check'

/** Thresholds of the stops. Judgement, to be set by recorded outcomes. */
const CONFIDENT_PROBABILITY = 0.9
const UNEXPLAINED_PROBABILITY = 0.5

interface StopState {
  known: Gathered
  posterior: Float64Array
  unexplained: { probability: number }[]
  searched: SearchedChecks
  plan: Plan
}

/** Whether some condition is as likely due to nothing that is modelled, or to "something else here", as to a named cause. */
function doesNotFit({ known, posterior, unexplained }: StopState): boolean {
  const { keys, release, effects } = known.instance
  return known.present.some(({ effect }, position) => {
    const other = effects[effect]!.links.filter(({ cause }) => release.causes[keys[cause]!.cause]!.isOther).reduce(
      (sum, { cause }) => sum + posterior[cause]!,
      0,
    )
    return other + unexplained[position]!.probability >= UNEXPLAINED_PROBABILITY
  })
}

/** Refusals that no tool, time or better answer would lift for the person at the site. */
const BEYOND_CALLER: readonly RefusalReason[] = ['needs-technician', 'gate-closed', 'hazard-present']
const isBeyondCaller = (permit: Permit) => permit.verdict === 'refused' && BEYOND_CALLER.includes(permit.reason)

/** Whether one of the remedies that the case calls for is not for the person at the site. */
function isForTechnician({ remedies, likely }: Plan): boolean {
  return remedies.some(({ remedy, permit }) => likely.includes(remedy) && isBeyondCaller(permit))
}

/** The first stop that holds; undefined while asking on is worth it. Danger outranks everything. */
export function stopOf(state: StopState): StopKind | undefined {
  const { known, searched, plan } = state
  if (known.dangers.length > 0) return 'danger'
  const mustReadOn = known.isScreenMentioned && !known.isScreenComplete
  if (mustReadOn || known.present.length === 0) return undefined
  if (plan.likely.length > 0 && plan.likelyClears >= CONFIDENT_PROBABILITY)
    return isForTechnician(plan) ? 'needs-technician' : 'confident'
  if (doesNotFit(state)) return 'does-not-fit'
  if (searched.checks.length > 0) return undefined
  return searched.refused.some(({ permit }) => isBeyondCaller(permit)) ? 'needs-technician' : 'no-useful-check'
}
