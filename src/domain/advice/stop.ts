import type { Gathered } from './gather.ts'
import type { SearchedChecks } from './next-checks.ts'
import type { Plan } from './plan.ts'

export type StopKind = 'danger' | 'confident' | 'does-not-fit' | 'needs-technician' | 'no-useful-check'

/** Thresholds of the stops. Judgement, to be set by recorded outcomes. */
export const CONFIDENT_PROBABILITY = 0.9
const UNEXPLAINED_PROBABILITY = 0.5
const USEFUL_BITS_PER_MINUTE = 0.01

interface StopState {
  known: Gathered
  posterior: Float64Array
  unexplained: { probability: number }[]
  searched: SearchedChecks
  plan: Plan
}

function doesNotFit({ known, posterior, unexplained }: StopState): boolean {
  const { keys, release } = known.instance
  const other = keys.some(
    ({ cause }, index) => release.causes[cause]!.isOther && posterior[index]! >= UNEXPLAINED_PROBABILITY,
  )
  return other || unexplained.some(({ probability }) => probability >= UNEXPLAINED_PROBABILITY)
}

/** Whether one of the remedies that the case calls for is not for the person at the site. */
function isForTechnician({ remedies, likely }: Plan): boolean {
  return remedies.some(
    ({ remedy, permit }) => likely.includes(remedy) && permit.verdict === 'refused' && permit.reason !== 'needs-tool',
  )
}

/** The first stop that holds; undefined while asking on is worth it. Danger outranks everything. */
export function stopOf(state: StopState): StopKind | undefined {
  const { known, searched, plan } = state
  if (known.dangers.length > 0) return 'danger'
  const mustReadOn = known.isScreenMentioned && !known.isScreenComplete
  if (mustReadOn || known.present.length === 0) return undefined
  if (plan.likelyClears >= CONFIDENT_PROBABILITY) return isForTechnician(plan) ? 'needs-technician' : 'confident'
  if (doesNotFit(state)) return 'does-not-fit'
  if (searched.checks.some(({ bitsPerMinute }) => bitsPerMinute >= USEFUL_BITS_PER_MINUTE)) return undefined
  const isBeyondCaller = (reason: string) => ['needs-technician', 'gate-closed', 'hazard-present'].includes(reason)
  const held = searched.refused.some(
    ({ permit, gainBits }) => isBeyondCaller(permit.reason) && gainBits >= USEFUL_BITS_PER_MINUTE,
  )
  return held ? 'needs-technician' : 'no-useful-check'
}
