import type { Context } from 'hono'
import type { Release } from '../ontology/release.ts'
import type { ReleaseShelf } from '../services/release-shelf.ts'
import { Wording } from '../services/texts.ts'
import { ProblemError } from './problem.ts'

/** The release that a body or a path names, "latest" in a path only. Throws where it is unknown, never falls back to another. */
async function releaseOr(shelf: ReleaseShelf, name: string, pointer: string, status: 404 | 422): Promise<Release> {
  const isInPath = status === 404
  const release = name === 'latest' && !isInPath ? undefined : await shelf.named(name)
  if (release) return release
  const limit = [...shelf.names(), ...(isInPath ? ['latest'] : [])].join(', ')
  const problem = { pointer, code: 'RELEASE_UNKNOWN', detail: 'unknown release', limit, value: name }
  throw new ProblemError('RELEASE_UNKNOWN', `release must be one of ${limit}, got ${name}`, [problem], status)
}

/** The release in a path. @throws 404 */
export const releaseInPath = (shelf: ReleaseShelf, name: string) => releaseOr(shelf, name, ':release', 404)

/** A release named in the query. @throws 422 */
export const releaseInQuery = (shelf: ReleaseShelf, name: string, pointer: string) =>
  releaseOr(shelf, name, pointer, 422)

/** Release and language that a body asks for; says in Content-Language what is served. @throws 422 for an unknown release */
export async function wordingFor(
  c: Context,
  shelf: ReleaseShelf,
  body: { release?: string | undefined; language?: string | undefined },
): Promise<Wording> {
  const release = body.release === undefined ? shelf.current() : await releaseOr(shelf, body.release, '/release', 422)
  const served = await shelf.served(release, body.language)
  c.header('Content-Language', served.tag)
  return new Wording(release, served)
}
