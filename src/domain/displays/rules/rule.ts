import type { DisplayProfile, Screen } from '../profile.ts'

/** A rule that a profile breaks: which, where, what is wrong and how to mend it. */
export interface ProfileFault {
  rule: string
  /** JSON pointer into the profile. */
  path: string
  /** Screen or mark that it is about. */
  id: string
  message: string
  remedy: string
}

/** What a rule may look at beside the profile. */
export interface RuleContext {
  /** Ids of the conditions that the release holds. */
  conditions: ReadonlySet<string>
}
export type ProfileRule = (profile: DisplayProfile, context: RuleContext) => ProfileFault[]

/** Applies a check to every screen with its place. */
export function onEachScreen(
  { screens }: DisplayProfile,
  check: (screen: Screen, path: string) => ProfileFault[],
): ProfileFault[] {
  return screens.flatMap((screen, at) => check(screen, `/screens/${at}`))
}
