import type { CompiledContext, CompiledRelease } from '../../src/domain/advice/compiled.ts'
import { smallRelease } from './small-release.ts'

/** Contexts of the small release that an obstacle is about, and two more of the caller. */
export const [NOT_ON_TEST, WATER, ALONE, REMOTE] = [1, 6, 7, 8] as const

export const CALLER_CONTEXTS: CompiledContext[] = ['context/caller-alone', 'context/caller-remote'].map((id) => ({
  id,
  share: 0.2,
  shifts: [],
  isLiftable: true,
}))

/** The small release whose gate, test status and two circumstances of the caller can be lifted; somebody alone is held back by the shock hazard. */
export function liftableRelease(change: Partial<CompiledRelease> = {}): CompiledRelease {
  const base = smallRelease()
  return smallRelease({
    contexts: [
      ...base.contexts.map((one, at) => (at === NOT_ON_TEST ? { ...one, isLiftable: true as const } : one)),
      ...CALLER_CONTEXTS,
    ],
    gates: [{ ...base.gates[0]!, isLiftable: true }],
    hazards: [{ id: 'hazard/shock', stopIf: [ALONE] }, base.hazards[1]!],
    ...change,
  })
}
