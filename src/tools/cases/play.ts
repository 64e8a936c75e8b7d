import { type Advice, advise } from '../../domain/advice/advise.ts'
import type { CompiledRelease } from '../../domain/advice/compiled.ts'
import { indexRelease } from '../../domain/advice/release-index.ts'
import type { Finding } from '../../domain/findings/finding.ts'
import type { PrologueStep } from '../../ontology/shape.ts'
import { answerOf, opening } from './caller.ts'
import type { Case } from './case.ts'
import type { Policy } from './policies.ts'
import { unsafeOffers } from './unsafe.ts'

export interface Played {
  one: Case
  /** The answer at the start and after each check. */
  advices: Advice[]
  asked: string[]
  minutes: number
  unsafe: string[]
}

/** Where a call is played: a release, and what its prologue asks. */
export interface Stage {
  release: CompiledRelease
  steps: readonly PrologueStep[]
}

const MOST_CHECKS = 20

/** Whether a cause of the network is really there. */
export function isTrue({ truth }: Case, { known }: Advice, index: number): boolean {
  const { cause, device } = known.instance.keys[index]!
  const { id } = known.instance.release.causes[cause]!
  return truth.some((true_) => true_.cause === id && (true_.device === undefined || true_.device === device))
}

/** What is settled before any probability: danger signs, and the questions of the prologue. */
function prologue(release: CompiledRelease, steps: readonly PrologueStep[], one: Case, dangers: readonly number[]) {
  const { check } = indexRelease(release)
  const asked = steps.flatMap(({ checks }) => checks.map((id) => check.get(id)!))
  return [...dangers, ...asked].map((index) => answerOf(release, one, { check: index }))
}

/** Plays a call: danger signs and prologue first, then question by question until the engine stops or nothing is left to ask. */
export function play({ release, steps }: Stage, one: Case, policy: Policy, chance: () => number): Played {
  const limits = { who: one.who, tools: one.tools, isOwnerVerified: true }
  const findings: Finding[] = opening(one)
  const asking = advise({ release, findings, limits })
  const unsafe = unsafeOffers(asking, one)
  findings.push(...prologue(release, steps, one, asking.dangerQuestions))
  const played: Played = { one, advices: [advise({ release, findings, limits })], asked: [], minutes: 0, unsafe }
  while (played.asked.length < MOST_CHECKS) {
    const advice = played.advices.at(-1)!
    unsafe.push(...unsafeOffers(advice, one))
    const next = advice.stop === undefined ? policy(advice, chance) : undefined
    if (next === undefined) break
    const { id, minutes } = release.checks[next.check]!
    played.asked.push(id)
    played.minutes += minutes
    findings.push(answerOf(release, one, next))
    played.advices.push(advise({ release, findings, limits }))
  }
  return played
}
