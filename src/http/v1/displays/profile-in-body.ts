import type { Hook } from '@hono/zod-openapi'
import { ZodError } from 'zod'
import type { ProfileFault } from '../../../domain/displays/rules/rule.ts'
import type { Profile } from '../../../ontology/profile.ts'
import type { Release } from '../../../ontology/release.ts'
import { faultsOfProfile, shippedProfiles } from '../../../services/display-profiles.ts'
import type { AppEnv } from '../../env.ts'
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

function shipped(name: string): Profile {
  const found = shippedProfiles().get(name)
  if (found) return found
  const limit = [...shippedProfiles().keys()].join(', ')
  const detail = `profile must be a profile or one of ${limit}, got ${name}`
  throw new ProblemError('UNKNOWN_ID', detail, [
    { pointer: '/profile', code: 'UNKNOWN_ID', detail, limit, value: name },
  ])
}

/** The profile that a body holds or names. @throws 422 for an unknown name, and naming every rule that the profile breaks */
export function soundProfile(release: Release, sent: Profile | string): Profile {
  const isNamed = typeof sent === 'string'
  const profile = isNamed ? shipped(sent) : sent
  const faults = faultsOfProfile(release, profile)
  if (faults.length === 0) return profile
  const fields = profileFaultFields(faults, (path) => (isNamed ? '/profile' : `/profile${path}`))
  throw new ProblemError('INPUT_INVALID', `the profile breaks ${faults.length} rules`, fields)
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
