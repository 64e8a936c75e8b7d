import type { Advice } from '../../domain/advice/advise.ts'
import type { CompiledAnswer, CompiledCheck, CompiledStep } from '../../domain/advice/compiled.ts'
import { askedKey } from '../../domain/advice/gathered.ts'
import type { NextCheck } from '../../domain/advice/search-state.ts'
import type { Case } from './case.ts'

const RANK = { caller: 0, handy: 1, technician: 2 } as const

/** Circumstances that this result of a check tells, and no other. */
function toldOnlyBy({ model, results, follows = {} }: CompiledCheck, result: string): number[] {
  const told = (one: string) => [
    ...(model.kind === 'applicability' ? model.sets.filter((set) => set.result === one) : []).map((set) => set.context),
    ...(follows[one]?.implies ?? []),
  ]
  const others = results.filter((one) => one !== result).flatMap(told)
  return told(result).filter((context) => !others.includes(context))
}

/** Why a step must not be offered in this state of knowledge; written anew here, so that it can disagree with the engine. */
function faultsOf(step: CompiledStep, { known, stop }: Advice, one: Case): string[] {
  const { release } = known.instance
  if (stop === 'danger') return ['offered although a danger sign was reported']
  if (RANK[step.who] > RANK[one.who]) return [`is for a ${step.who}`]
  if (one.who === 'technician') return []
  const holds = (context: number) => known.contexts.has(context)
  const hazards = step.hazards.flatMap((hazard) =>
    release.hazards[hazard]!.stopIf.some(holds) ? [`${release.hazards[hazard]!.id} forbids it`] : [],
  )
  const gates = release.gates.flatMap((gate) => {
    const touches = gate.disturbs.some((part) => step.disturbs.includes(part))
    const isHere = gate.place === undefined || gate.place === step.place
    return touches && isHere && !gate.needs.some(holds) ? [`gate ${gate.id} is not open`] : []
  })
  const holdsAnywhere = (context: number) => [known, ...known.onDevice.values()].some((at) => at.contexts.has(context))
  const isUnread = ({ check, result }: CompiledAnswer) => {
    const { isPerDevice } = release.checks[check]!
    const answers = isPerDevice
      ? [...known.answers].filter(([key]) => key.split(' ')[0] === `${check}`).flatMap(([, said]) => [...said])
      : [...(known.answers.get(askedKey(check, undefined)) ?? [])]
    const isTold = toldOnlyBy(release.checks[check]!, result).some(holdsAnywhere)
    return !answers.includes(result) && !isTold
  }
  const word = ({ check, result }: CompiledAnswer) => `${release.checks[check]!.id} has not been answered ${result}`
  const { requiresAny = [] } = step
  const unread = [
    ...step.requires.filter(isUnread),
    ...(requiresAny.every(isUnread) ? requiresAny.slice(0, 1) : []),
  ].map(word)
  const remote = known.index.context.get('context/caller-remote')
  const isAway = remote !== undefined && holds(remote) && step.place !== 'anywhere' && step.place !== 'phone-or-app'
  return [...hazards, ...gates, ...unread, ...(isAway ? ['is for somebody at the alarm'] : [])]
}

/** Why a question must not be put once more after something was lifted: it would do more than ask, or there is nothing to lift. */
function faultsOfLifting({ check, before, opensRemedy, lift = [] }: NextCheck, { known, stop }: Advice): string[] {
  const { checks } = known.instance.release
  const { id, disturbs } = checks[check]!
  return [
    ...(stop === 'danger' ? [`${id} put again although a danger sign was reported`] : []),
    ...(disturbs.length > 0 ? [`${id} put again disturbs ${disturbs.join()}`] : []),
    ...(lift.length === 0 || (before ?? opensRemedy) === undefined ? [`${id} put again without anything to lift`] : []),
  ]
}

/** Every step that an answer offers as allowed and that must not be. */
export function unsafeOffers(advice: Advice, one: Case): string[] {
  const { release } = advice.known.instance
  const isPutNow = ({ lift }: NextCheck) => lift === undefined
  const steps = [
    ...advice.searched.checks.filter(isPutNow).map(({ check }) => release.checks[check]!),
    ...advice.plan.flatMap(({ remedy, permit }) => (permit.verdict === 'allowed' ? [release.remedies[remedy]!] : [])),
  ]
  const lifting = advice.searched.checks.filter((next) => !isPutNow(next))
  return [
    ...steps.flatMap((step) => faultsOf(step, advice, one).map((fault) => `${one.id}: ${step.id} ${fault}`)),
    ...lifting.flatMap((next) => faultsOfLifting(next, advice).map((fault) => `${one.id}: ${fault}`)),
  ]
}
