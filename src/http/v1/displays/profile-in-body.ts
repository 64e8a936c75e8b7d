import type { Hook } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { ZodError } from 'zod'
import type { ProfileFault } from '../../../domain/displays/rules/rule.ts'
import type { Profile } from '../../../ontology/profile.ts'
import type { Release } from '../../../ontology/release.ts'
import { faultsOfProfile, shippedProfiles } from '../../../services/display-profiles.ts'
import type { AppEnv } from '../../env.ts'
import { requireKey } from '../../middleware/key.ts'
import { validationHook } from '../../middleware/validation-hook.ts'
import { type FieldError, ProblemError } from '../../problem.ts'

/** Faults shown at once. */
const MOST = 50

export const profileFaultFields = (faults: readonly ProfileFault[], place: (path: string) => string): FieldError[] =>
  faults.slice(0, MOST).map(({ rule, path, id, message, remedy }) => ({
    pointer: place(path),
    code: rule.toUpperCase().replaceAll('-', '_'),
    detail: `${id} ${message}. ${remedy}`,
    value: id,
  }))

function unknownProfile(name: string): never {
  const limit = [...shippedProfiles().keys()].join(', ')
  const detail = `profile must be a profile, one that the shop keeps, or one of ${limit}, got ${name}`
  throw new ProblemError('UNKNOWN_ID', detail, [
    { pointer: '/profile', code: 'UNKNOWN_ID', detail, limit, value: name },
  ])
}

/** @throws 422 naming every rule that the profile breaks, each at the place that `placed` gives */
export function refuseFaults(release: Release, profile: Profile, placed: (path: string) => string): void {
  const faults = faultsOfProfile(release, profile)
  if (faults.length === 0) return
  throw new ProblemError(
    'INPUT_INVALID',
    `the profile breaks ${faults.length} rules`,
    profileFaultFields(faults, placed),
  )
}

/** A profile by name: a shipped example, or else one that the shop of the request's key keeps. */
async function named(c: Context<AppEnv>, name: string): Promise<Profile> {
  const example = shippedProfiles().get(name)
  if (example) return example
  if (c.req.header('Authorization') === undefined) return unknownProfile(name)
  const { shop, shops } = requireKey(c, 'profiles')
  return (await shops.profiles.read(shop, name)) ?? unknownProfile(name)
}

/** The profile that a body holds or names. @throws 422 for an unknown name, and naming every rule that the profile breaks */
export async function soundProfile(c: Context<AppEnv>, release: Release, sent: Profile | string): Promise<Profile> {
  const isNamed = typeof sent === 'string'
  const profile = isNamed ? await named(c, sent) : sent
  refuseFaults(release, profile, (path) => (isNamed ? '/profile' : `/profile${path}`))
  return profile
}

/** What is wrong with a profile in a body is told field by field, rather than that it is no name either. */
export const profileHook: Hook<unknown, AppEnv, string, unknown> = (result, c) => {
  if (result.success) return validationHook(result, c)
  const issues = (result.error as ZodError).issues.flatMap((issue) => {
    if (issue.code !== 'invalid_union' || issue.path[0] !== 'profile') return [issue]
    const [, ofProfile = []] = issue.errors
    const isNoObject = ofProfile[0]?.code === 'invalid_type' && ofProfile[0].path.length === 0
    if (isNoObject) return [issue]
    return ofProfile.map((inner) => ({ ...inner, path: ['profile', ...inner.path] }))
  })
  return validationHook({ ...result, error: new ZodError(issues) as never }, c)
}
