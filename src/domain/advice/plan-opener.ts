import type { Finding } from '../findings/finding.ts'
import { given } from '../given.ts'
import { isBeyondSenses } from './candidates.ts'
import { askedKey, dangersToRuleOut } from './gathered.ts'
import { liftingQuestion } from './lift-step.ts'
import type { Plan, PlannedRemedy } from './plan.ts'
import type { PlanState } from './plan-candidates.ts'
import { costMinutes, type NextCheck, OFFERED } from './search-state.ts'
import { wayTo } from './way-to.ts'

/** The question that tells whether what holds the first likely remedy back has been lifted, where it can be; put once more. */
function liftedOpener(state: PlanState, findings: readonly Finding[], { remedy, permit }: PlannedRemedy) {
  const found = liftingQuestion(state, findings, permit)
  if (found === undefined) return undefined
  const minutes = costMinutes(state.known.instance.release.checks[found.question]!)
  const why = 'opens-the-plan' as const
  const worth = { gainBits: 0, minutes, bitsPerMinute: 0, results: [] }
  return { check: found.question, ...worth, why, opensRemedy: remedy, lift: found.lift }
}

/** The question that the first likely remedy of a plan waits for, and nothing else; innermost first. */
export function planOpener(
  state: PlanState,
  findings: readonly Finding[],
  { remedies, likely }: Plan,
): NextCheck | undefined {
  const { known, limits } = state
  const { release } = known.instance
  const first = remedies.find(({ remedy }) => likely.includes(remedy))
  if (first?.permit.verdict === 'refused') return liftedOpener(state, findings, first)
  if (first?.permit.verdict !== 'after') return undefined
  const { device } = first
  const way = wayTo(release, known, limits, { check: first.permit.check, ...(device === undefined ? {} : { device }) })
  if (way === undefined) return undefined
  const check = way[0] ?? first.permit.check
  const question = release.checks[check]!
  if (isBeyondSenses(question, limits)) return undefined
  return {
    check,
    ...(device !== undefined && question.isPerDevice ? { device } : {}),
    gainBits: 0,
    minutes: costMinutes(question),
    bitsPerMinute: 0,
    results: [],
    why: 'opens-the-plan',
    opensRemedy: first.remedy,
  }
}

/**
 * Next checks with the one that opens the plan: first where it asks for a danger, is called for first or nothing more is to be found out,
 * else where it stands already, or last of those offered.
 */
export function withOpener(
  { known }: PlanState,
  checks: readonly NextCheck[],
  opener: NextCheck | undefined,
  isStopped: boolean,
): NextCheck[] {
  if (opener === undefined) return [...checks]
  const keyOf = ({ check, device }: NextCheck) => askedKey(check, device)
  const at = checks.findIndex((other) => keyOf(other) === keyOf(opener))
  const { why, opensRemedy, lift } = opener
  const next = at < 0 ? opener : given({ ...checks[at]!, why, opensRemedy, lift: lift ?? checks[at]!.lift })
  const others = checks.filter((_, index) => index !== at)
  const isDanger = known.instance.release.checks[opener.check]!.model.kind === 'danger'
  const isFirst = isDanger || isStopped || dangersToRuleOut(known).has(opener.check)
  const place = isFirst ? 0 : Math.min(at < 0 ? others.length : at, OFFERED - 1)
  return [...others.slice(0, place), next, ...others.slice(place)]
}
