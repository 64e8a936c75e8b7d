import { DONT_KNOW } from '../findings/finding.ts'
import { wasDoneAt } from './attempts.ts'
import type { CompiledAnswer, CompiledCheck, CompiledRemedy, CompiledStep, Follows } from './compiled.ts'
import { askedKey, type Gathered, holdsSurely, isRuledOut, SURELY } from './gathered.ts'
import type { CauseKey } from './instantiate.ts'

/** What was answered to a check; for a device where it is put for one. */
export function answersTo(known: Gathered, check: number, device?: string): ReadonlySet<string> | undefined {
  const { isPerDevice } = known.instance.release.checks[check]!
  return known.answers.get(askedKey(check, isPerDevice ? device : undefined))
}

/** Circumstances that a result establishes: those that it sets and those that follow from it. */
function establishedBy({ model, follows }: CompiledCheck, result: string): readonly number[] {
  const set =
    model.kind === 'applicability' ? model.sets.flatMap((one) => (one.result === result ? [one.context] : [])) : []
  return [...set, ...(follows?.[result]?.implies ?? [])]
}

/** Whether something is known to hold that this result of a check would establish, and no other. */
function isEstablished(known: Gathered, { check, result }: CompiledAnswer, device?: string): boolean {
  const one = known.instance.release.checks[check]!
  if (one.model.kind !== 'applicability' && one.follows === undefined) return false
  const isOfOther = (context: number) =>
    one.results.some((other) => other !== result && establishedBy(one, other).includes(context))
  return establishedBy(one, result).some((context) => holdsSurely(known, context, device) && !isOfOther(context))
}

/** Whether a result is known: it was answered and no other beside it, or what it establishes is known from elsewhere. */
export function isKnownResult(known: Gathered, answer: CompiledAnswer, device?: string): boolean {
  const said = [...(answersTo(known, answer.check, device) ?? [])].filter((one) => one !== DONT_KNOW)
  return (said.length === 1 && said[0] === answer.result) || isEstablished(known, answer, device)
}

/** Whether a condition stands: on the device that is asked for, as one of the whole system, or anywhere for the system. */
function stands({ instance, present }: Gathered, condition: number, device: string | undefined): boolean {
  const { release } = instance
  const isOfSystem = !release.effects[release.conditions[condition]!.effect]!.isPerDevice
  return present.some(
    (one) => one.condition === condition && (device === undefined || isOfSystem || one.device === device),
  )
}

/** Whether a remedy was surely carried out: on the device that is asked about, where it was one of a device. */
const wasDone = ({ carried }: Gathered, remedy: number, device: string | undefined): boolean =>
  carried.some(
    (one) =>
      one.remedy === remedy &&
      one.reliability >= SURELY &&
      (device === undefined || one.device === undefined || one.device === device),
  )

/** Whether something is known that a step does not go with: it is not put then, and not planned. */
export function isKeptBack(known: Gathered, { notWith }: CompiledStep, device?: string): boolean {
  if (notWith === undefined) return false
  return (
    notWith.contexts.some((context) => holdsSurely(known, context, device)) ||
    notWith.conditions.some((condition) => stands(known, condition, device)) ||
    (notWith.remedies?.some((remedy) => wasDone(known, remedy, device)) ?? false) ||
    notWith.answers.some((answer) => isKnownResult(known, answer, device))
  )
}

/**
 * Whether one of the conditions that a check is about stands: anywhere for a check of the system; on the device it is put for,
 * or as one of the whole system, for a check of a device, but not for a device whose own items are all others of those that it
 * is about: that is another kind of device. Never for a check that is about none.
 */
export function isAbout(
  { instance, present }: Gathered,
  { about, isPerDevice }: CompiledCheck,
  device?: string,
): boolean {
  if (about === undefined || (about.length > 0 && present.length === 0)) return true
  const { effects, conditions } = instance.release
  const isOfSystem = (condition: number) => !effects[conditions[condition]!.effect]!.isPerDevice
  const standing = present.filter(({ condition }) => about.includes(condition))
  if (!isPerDevice) return standing.length > 0
  const isHere = (one: { condition: number; device?: string }) => one.device === device && !isOfSystem(one.condition)
  if (standing.some(isHere)) return true
  const isOfAnother = device !== undefined && present.some(isHere) && !about.every(isOfSystem)
  return !isOfAnother && standing.some(({ condition }) => isOfSystem(condition))
}

/** Whether a condition stands where a cause is: on its device, whether named or not, or anywhere for a cause of the system. */
function standsAt({ instance, present }: Gathered, condition: number, { cause, device }: CauseKey): boolean {
  const { effects, conditions, causes } = instance.release
  const isAnywhere = !causes[cause]!.isPerDevice || !effects[conditions[condition]!.effect]!.isPerDevice
  return present.some((one) => one.condition === condition && (isAnywhere || one.device === device))
}

/** Whether a remedy was surely carried out where a cause is, so that what is there now is not for it. */
function isDoneAt({ carried, instance }: Gathered, remedy: CompiledRemedy, key: CauseKey): boolean {
  return carried.some(
    (one) =>
      instance.release.remedies[one.remedy] === remedy && one.reliability >= SURELY && wasDoneAt(instance, one, key),
  )
}

/** Whether a remedy cured what is there, and it came back. */
export const hasComeBack = ({ cameBack, instance }: Gathered, remedy: CompiledRemedy, key: CauseKey): boolean =>
  cameBack.some((one) => instance.release.remedies[one.remedy] === remedy && wasDoneAt(instance, one, key))

/** Whether a remedy has its place where a cause is. */
export function isPlannedFor(known: Gathered, remedy: CompiledRemedy, key: CauseKey): boolean {
  if (isDoneAt(known, remedy, key)) return false
  const { onlyWith } = remedy
  if (onlyWith !== undefined && !onlyWith.some((condition) => standsAt(known, condition, key))) return false
  return !isKeptBack(known, remedy, key.device)
}

/** Whether a result cannot be given for what is surely known. */
function isImpossible(known: Gathered, { implies = [], rulesOut = [] }: Follows, device?: string): boolean {
  const { dimensionOf } = known.index
  const isRivalled = (context: number) =>
    dimensionOf[context]!.members.some((member) => member !== context && holdsSurely(known, member, device))
  return (
    rulesOut.some((context) => holdsSurely(known, context, device)) ||
    implies.some((context) => isRuledOut(known, context, device) || isRivalled(context))
  )
}

/** Whether what is known leaves a question one result at most: its answer is on the table. */
export function hasOneResultLeft(known: Gathered, { results, follows }: CompiledCheck, device?: string): boolean {
  if (follows === undefined) return false
  const left = results.filter((result) => !isImpossible(known, follows[result] ?? {}, device))
  return left.length < results.length && left.length <= 1
}
