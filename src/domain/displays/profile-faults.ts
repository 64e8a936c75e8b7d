import type { DisplayProfile } from './profile.ts'
import { devicesHaveCondition } from './rules/devices-have-condition.ts'
import { marksAreToldApart } from './rules/marks-are-told-apart.ts'
import { referencesResolve } from './rules/references-resolve.ts'
import type { ProfileFault, ProfileRule, RuleContext } from './rules/rule.ts'
import { screensCanBeReached } from './rules/screens-can-be-reached.ts'
import { screensLeadBack } from './rules/screens-lead-back.ts'
import { screensSaySomething } from './rules/screens-say-something.ts'
import { viewingClearsMemoryOnly } from './rules/viewing-clears-memory-only.ts'

export const PROFILE_RULES: readonly ProfileRule[] = [
  referencesResolve,
  marksAreToldApart,
  screensCanBeReached,
  screensLeadBack,
  screensSaySomething,
  devicesHaveCondition,
  viewingClearsMemoryOnly,
]

/**
 * Everything that is wrong with a display profile, in the order of the rules. Only a profile without faults can be decoded.
 *
 * @param profile - of the right shape; its content may be anything
 * @param context - what the release knows
 * @returns faults with place and remedy; none for a sound profile
 */
export function profileFaults(profile: DisplayProfile, context: RuleContext): ProfileFault[] {
  return PROFILE_RULES.flatMap((rule) => rule(profile, context))
}
