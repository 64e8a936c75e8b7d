import { profileFaults } from '../domain/displays/profile-faults.ts'
import type { ProfileFault } from '../domain/displays/rules/rule.ts'
import { PROFILES_JSON } from '../ontology/generated/profiles.ts'
import type { Profile } from '../ontology/profile.ts'
import type { Release } from '../ontology/release.ts'
import { sha256Hex } from './sha256.ts'

let shipped: ReadonlyMap<string, Profile> | undefined

/** The example profiles that come with the ontology, by name. */
export function shippedProfiles(): ReadonlyMap<string, Profile> {
  shipped ??= new Map((JSON.parse(PROFILES_JSON) as Profile[]).map((profile) => [profile.profile, profile]))
  return shipped
}

/** SHA-256 of a profile as it was understood, so that an answer can name exactly what it rests on. */
export const profileHash = (profile: Profile) => sha256Hex(JSON.stringify(profile))

/** Every rule that a profile breaks on a release. */
export function faultsOfProfile({ compiled }: Release, profile: Profile): ProfileFault[] {
  return profileFaults(profile, { conditions: new Set(compiled.conditions.map(({ id }) => id)) })
}
