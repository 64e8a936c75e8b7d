import type { Gathered } from './gathered.ts'
import type { SearchedChecks } from './next-checks.ts'
import type { Permit, RefusalReason } from './permit.ts'
import type { Plan } from './plan.ts'

export type StopKind = 'danger' | 'confident' | 'does-not-fit' | 'needs-technician' | 'no-useful-check'

/** Thresholds of the stops. Judgement, to be set by recorded outcomes. */
const CONFIDENT_PROBABILITY = 0.9
const UNEXPLAINED_PROBABILITY = 0.5

interface Explained {
  known: Gathered
  posterior: Float64Array
  unexplained: readonly { probability: number }[]
}
interface StopState extends Explained {
  searched: SearchedChecks
  plan: Plan
  refutedLeaders: number
}

/** For the condition that is explained worst: probability that nothing modelled, or "something else here", brings it about. */
export function explainedByNothing({ known, posterior, unexplained }: Explained): number {
  const { keys, release, effects } = known.instance
  const others = known.present.map(({ effect }, position) => {
    const other = effects[effect]!.links.filter(({ cause }) => release.causes[keys[cause]!.cause]!.isOther).reduce(
      (sum, { cause }) => sum + posterior[cause]!,
      0,
    )
    return other + unexplained[position]!.probability
  })
  return Math.max(0, ...others)
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
  if (explainedByNothing(state) >= UNEXPLAINED_PROBABILITY) return 'does-not-fit'
  if (searched.checks.length > 0) return undefined
  return searched.refused.some(({ permit }) => isBeyondCaller(permit)) ? 'needs-technician' : 'no-useful-check'
}
