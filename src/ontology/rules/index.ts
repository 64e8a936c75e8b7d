import type { Ontology } from '../shape.ts'
import { bandsAscend } from './bands-ascend.ts'
import { causesCanBeChecked } from './causes-can-be-checked.ts'
import { causesHaveRemedy } from './causes-have-remedy.ts'
import { checkResultsFitModel } from './check-results-fit-model.ts'
import { conditionsHaveCauses } from './conditions-have-causes.ts'
import { distributionsFit } from './distributions-fit.ts'
import { groupsLeaveRoom } from './groups-leave-room.ts'
import { idsUnique } from './ids-unique.ts'
import { levelsKnown } from './levels-known.ts'
import { referencesResolve } from './references-resolve.ts'
import type { Fault, Rule } from './rule.ts'
import { sharesFit } from './shares-fit.ts'
import { sourcesKnown } from './sources-known.ts'
import { stepsNameHazards } from './steps-name-hazards.ts'

export const RULES: readonly Rule[] = [
  idsUnique,
  referencesResolve,
  levelsKnown,
  sourcesKnown,
  conditionsHaveCauses,
  causesHaveRemedy,
  causesCanBeChecked,
  checkResultsFitModel,
  bandsAscend,
  distributionsFit,
  groupsLeaveRoom,
  sharesFit,
  stepsNameHazards,
]

/** All faults of all rules, in the order of the rules. */
export function ontologyFaults(ontology: Ontology): Fault[] {
  return RULES.flatMap((rule) => rule(ontology))
}
