import { currentRelease, publishedReleases, type Release } from '../ontology/release.ts'
import { ProblemError } from './problem.ts'

/** The release that a request names; the current one when it names none. Throws 422, never falls back to another. */
export function releaseInBody(name: string | undefined): Release {
  const release = currentRelease()
  if (name === undefined || name === release.version) return release
  const limit = publishedReleases()
    .map((entry) => entry.release)
    .join(', ')
  throw new ProblemError(
    'RELEASE_UNKNOWN',
    `release must be one of ${limit}, got ${name}`,
    [{ pointer: '/release', code: 'RELEASE_UNKNOWN', detail: 'unknown release', limit, value: name }],
    422,
  )
}
