import type { Constraint, Requirement } from '../../../domain/parts/types.ts'
import type { Release } from '../../../ontology/release.ts'
import type { Kind, PartClass } from '../../../ontology/shape.ts'
import { withSafety } from '../../../services/match-parts.ts'
import type { DiagnosisContext } from '../../../services/part-outlook.ts'
import { ProblemError } from '../../problem.ts'
import type { MatchRequest } from './schema.ts'

/** Optional fields that were not sent are left out, so that the core's exact types hold. */
export function defined<T extends object>(value: object): T {
  return Object.fromEntries(Object.entries(value).filter(([, item]) => item !== undefined)) as T
}

/** A concept of a kind that a body names. @throws 422 pointing at the field */
export function conceptOf<T>(release: Release, kind: Kind, id: string, pointer: string): T {
  const found = release.concepts.get(id)
  if (found?.kind === kind) return found.concept as T
  const words = kind.replace('-', ' ')
  const name = pointer.split('/').at(-1)
  throw new ProblemError('UNKNOWN_ID', `${name} must be a ${words} of release ${release.version}, got ${id}`, [
    { pointer, code: 'UNKNOWN_ID', detail: `unknown ${words}`, value: id },
  ])
}

export const constraintsOf = (list: MatchRequest['constraints']): Constraint[] =>
  list.map((constraint) => defined<Constraint>({ isSafety: false, ...constraint }))

type Slot = Pick<MatchRequest, 'partClass' | 'constraints' | 'quantity' | 'adaptersAllowed' | 'confirmed'>

/** What a body demands of one kind of part; its class decides what is a matter of safety. */
export function requirementOf(release: Release, slot: Slot, pointer: string): Requirement {
  const { partClass, constraints, quantity, adaptersAllowed, confirmed } = slot
  const concept = conceptOf<PartClass>(release, 'part-class', partClass, `${pointer}/partClass`)
  return defined<Requirement>({
    partClass,
    constraints: withSafety(concept, constraintsOf(constraints)),
    quantity,
    adaptersAllowed,
    confirmed,
  })
}

/** Causes of a diagnosis; those of an overlay pass, any other that the release does not hold is refused. */
export function diagnosisOf(release: Release, { diagnosis }: Pick<MatchRequest, 'diagnosis'>) {
  if (!diagnosis) return {}
  const { causes, remedy } = diagnosis
  causes.forEach(({ cause }, at) => {
    if (!cause.includes('~')) conceptOf(release, 'cause', cause, `/diagnosis/causes/${at}/cause`)
  })
  if (remedy !== undefined) conceptOf(release, 'remedy', remedy, '/diagnosis/remedy')
  const standing = causes.map(({ cause, probability }) => ({ cause, probability }))
  return { diagnosis: defined<DiagnosisContext>({ causes: standing, remedy }) }
}
