import type { Ontology } from '../shape.ts'
import { bandsAscend } from './bands-ascend.ts'
import { causesAreToldApart } from './causes-are-told-apart.ts'
import { causesCanBeChecked } from './causes-can-be-checked.ts'
import { causesHaveRemedy } from './causes-have-remedy.ts'
import { checkResultsFitModel } from './check-results-fit-model.ts'
import { clearsAreSound } from './clears-are-sound.ts'
import { codesAreMapped } from './codes-are-mapped.ts'
import { conditionsHaveCauses } from './conditions-have-causes.ts'
import { conditionsStateProtection } from './conditions-state-protection.ts'
import { contextsKeepScope } from './contexts-keep-scope.ts'
import { deprecationsLeadOn } from './deprecations-lead-on.ts'
import { distributionsFit } from './distributions-fit.ts'
import { familiesHaveOther } from './families-have-other.ts'
import { firstQuestionsAreFree } from './first-questions-are-free.ts'
import { followsAgree } from './follows-agree.ts'
import { groupsLeaveRoom } from './groups-leave-room.ts'
import { hazardsCanStop } from './hazards-can-stop.ts'
import { idsUnique } from './ids-unique.ts'
import { labelsArePlain } from './labels-are-plain.ts'
import { levelsKnown } from './levels-known.ts'
import { liftsStandInTheWay } from './lifts-stand-in-the-way.ts'
import { partsFit } from './parts-fit.ts'
import { referencesResolve } from './references-resolve.ts'
import { rootsTellWhy } from './roots-tell-why.ts'
import type { Fault, Rule } from './rule.ts'
import { scopesAgree } from './scopes-agree.ts'
import { sharesFit } from './shares-fit.ts'
import { signalsAreGated } from './signals-are-gated.ts'
import { sourcesKnown } from './sources-known.ts'
import { stepsGoTogether } from './steps-go-together.ts'
import { stepsNameHazards } from './steps-name-hazards.ts'
import { toolsKnown } from './tools-known.ts'

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
  causesAreToldApart,
  codesAreMapped,
  deprecationsLeadOn,
  familiesHaveOther,
  hazardsCanStop,
  labelsArePlain,
  scopesAgree,
  partsFit,
  rootsTellWhy,
  conditionsStateProtection,
  toolsKnown,
  signalsAreGated,
  followsAgree,
  contextsKeepScope,
  stepsGoTogether,
  liftsStandInTheWay,
  firstQuestionsAreFree,
  clearsAreSound,
]

/** All faults of all rules, in the order of the rules. */
export function ontologyFaults(ontology: Ontology): Fault[] {
  return RULES.flatMap((rule) => rule(ontology))
}
