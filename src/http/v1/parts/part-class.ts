import type { Release } from '../../../ontology/release.ts'
import type { PartClass } from '../../../ontology/shape.ts'
import { ProblemError } from '../../problem.ts'

/** The part class of an id. @throws ProblemError UNKNOWN_ID at /partClass */
export function partClassOf(release: Release, id: string): PartClass {
  const found = release.concepts.get(id)
  if (found?.kind === 'part-class') return found.concept as PartClass
  throw new ProblemError('UNKNOWN_ID', `partClass must be a part class of release ${release.version}, got ${id}`, [
    { pointer: '/partClass', code: 'UNKNOWN_ID', detail: 'unknown part class', value: id },
  ])
}
