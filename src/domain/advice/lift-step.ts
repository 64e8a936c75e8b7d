import type { Finding } from '../findings/finding.ts'
import { isBeyondSenses } from './candidates.ts'
import type { CompiledRelease } from './compiled.ts'
import { isKeptBack } from './goes-with.ts'
import { type Obstacle, obstacleName } from './obstacles.ts'
import { liftsOf, type Permit, permit } from './permit.ts'
import { costMinutes, type NextCheck, type RefusedCheck, type SearchState } from './search-state.ts'
import type { StopKind } from './stop.ts'

/** Doing what lifts an obstacle within the call, such as a call to the monitoring center [min]. Judgement. */
const LIFT_MINUTES = 5
/** What tells less a minute, with the lifting counted, is not worth anybody's call. Judgement. */
const USEFUL_BITS_PER_MINUTE = 0.025

/** The question that tells whether an obstacle is lifted; nothing of a danger that nobody knows of, which stays among the danger questions, and nothing of one that ends the call, such as a storm. */
function questionOf({ contexts, gates }: CompiledRelease, obstacle: Obstacle): number | undefined {
  if ('unsure' in obstacle) return undefined
  if ('gate' in obstacle) return gates.find(({ id }) => id === obstacle.gate)?.ask
  const { dimension } = contexts[obstacle.context]!
  if (dimension === undefined) return undefined
  return gates.find(({ needs }) => contexts[needs[0]!]!.dimension === dimension)?.ask
}

/** Whether a question was given the same answer more than once: what was to be lifted was not. */
function wasPutAgain({ checks }: CompiledRelease, findings: readonly Finding[], check: number): boolean {
  const { id } = checks[check]!
  const results = findings.flatMap((finding) =>
    finding.kind === 'answer' && finding.check === id ? [finding.result] : [],
  )
  return new Set(results).size < results.length
}

/** Whether nothing but what was lifted by then stands in the way of a question. */
function isOpenAfter(lifted: readonly Obstacle[], own: Permit): boolean {
  if (own.verdict !== 'refused') return own.verdict === 'allowed'
  const names = new Set(lifted.map(obstacleName))
  const lifts = liftsOf(own)
  return lifts.length > 0 && lifts.every((one) => names.has(obstacleName(one)))
}

/** The one question whose other answer lifts all that stands in the way of a refused step, where there is one and it may be put. */
export function liftingQuestion(
  { known, limits }: Pick<SearchState, 'known' | 'limits'>,
  findings: readonly Finding[],
  own: Permit,
): { question: number; lift: readonly Obstacle[] } | undefined {
  const { release } = known.instance
  const lift = own.verdict === 'refused' ? liftsOf(own) : []
  const [question, ...others] = new Set(lift.map((obstacle) => questionOf(release, obstacle)))
  if (question === undefined || others.length > 0 || wasPutAgain(release, findings, question)) return undefined
  const step = release.checks[question]!
  if (isBeyondSenses(step, limits) || isKeptBack(known, step)) return undefined
  return isOpenAfter(lift, permit(release, step, known, limits)) ? { question, lift } : undefined
}

/**
 * Questions to be put once more after something was lifted, each before the refused check that it pays most to open: the
 * check itself stays refused until then. Only what is lifted within the call, and only until the same answer has come twice.
 *
 * @param refused - what the search found useful and held back
 */
export function liftSteps(
  state: SearchState,
  findings: readonly Finding[],
  refused: readonly RefusedCheck[],
): NextCheck[] {
  const { known, limits } = state
  const { release } = known.instance
  const { checks } = release
  if ((limits.minutes ?? LIFT_MINUTES) < LIFT_MINUTES) return []
  const best = new Map<number, NextCheck>()
  for (const one of refused) {
    const own = permit(release, release.checks[one.check]!, known, limits, one.device)
    const found = liftingQuestion(state, findings, own)
    if (found === undefined) continue
    const { question, lift } = found
    const minutes = costMinutes(checks[question]!) + LIFT_MINUTES + costMinutes(checks[one.check]!)
    const bitsPerMinute = one.gainBits / minutes
    if (bitsPerMinute < USEFUL_BITS_PER_MINUTE || bitsPerMinute <= (best.get(question)?.bitsPerMinute ?? 0)) continue
    best.set(question, {
      check: question,
      gainBits: one.gainBits,
      minutes,
      bitsPerMinute,
      results: [],
      why: 'lift-first',
      before: one.check,
      lift,
    })
  }
  return [...best.values()].sort((a, b) => b.bitsPerMinute - a.bitsPerMinute || a.check - b.check)
}

/** Stops after which nobody calls anybody for the sake of a question. */
const IN_VAIN: readonly (StopKind | undefined)[] = ['danger', 'needs-technician', 'does-not-fit']

/** Next checks with the lifting steps, each before the first that brings less a minute and never before the rest of the display. */
export function withLiftSteps(
  checks: readonly NextCheck[],
  lifts: readonly NextCheck[],
  stop: StopKind | undefined,
): NextCheck[] {
  const all = [...checks]
  if (IN_VAIN.includes(stop)) return all
  for (const lift of lifts) {
    const at = all.findIndex((one) => one.why !== 'open-the-display-first' && one.bitsPerMinute < lift.bitsPerMinute)
    all.splice(at < 0 ? all.length : at, 0, lift)
  }
  return all
}
