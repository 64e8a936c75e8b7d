import type { AnswerFinding, ConditionFinding } from '../findings/finding.ts'
import { given } from '../given.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import { type Gathered, SURELY } from './gathered.ts'

type Standing = Gathered['present'][number]
type Clearing = readonly [at: number, finding: AnswerFinding]

/** Answers that count, surely, and say of some condition that it no longer stands. */
function clearingAnswers({ findings, release, result, disputed }: EvidenceLedger): Clearing[] {
  return findings.flatMap((finding, at): Clearing[] => {
    if (finding.kind !== 'answer' || (finding.reliability ?? 1) < SURELY) return []
    if (disputed.has(at) || result.unused.includes(at)) return []
    const check = release.checks[result.index.check.get(finding.check)!]!
    return check.clears?.[finding.result] === undefined ? [] : [[at, finding]]
  })
}

/** Whether an answer is about the device on which a condition stands: one of the system is about all, and a condition of the system stands on none. */
function isAbout({ release, result }: EvidenceLedger, { condition, device }: Standing, answer: AnswerFinding): boolean {
  const { isPerDevice } = release.effects[release.conditions[condition]!.effect]!
  const isOfDevice = release.checks[result.index.check.get(answer.check)!]!.isPerDevice
  return !isPerDevice || !isOfDevice || device === answer.device
}

/** Findings that report a condition. */
const reportsOf = ({ result }: EvidenceLedger, { effect }: Standing): readonly number[] =>
  result.evidence.find((item) => item.effect === effect)?.findings ?? []

/** Whether something reports a condition anew since an answer was given; without times on both nothing does. */
function isReportedSince(ledger: EvidenceLedger, one: Standing, { observedMs }: AnswerFinding): boolean {
  return reportsOf(ledger, one).some((at) => {
    const seenMs = ledger.findings[at]!.observedMs
    return seenMs !== undefined && observedMs !== undefined && seenMs > observedMs
  })
}

/** What threatens life is never cleared by an answer, nor what was taken as a danger. */
function mayClear({ release, result }: EvidenceLedger, one: Standing, reports: readonly number[]): boolean {
  const isDanger = result.dangers.some(({ finding }) => reports.includes(finding))
  return release.conditions[one.condition]!.severity !== 'life-safety' && !isDanger
}

/**
 * Takes what an answer says has cleared out of what stands. Reports and answer still tell what was behind it: an answer is
 * weighed by what it says of causes, and that the item has gone since is no second piece of evidence.
 */
export function settleCleared(ledger: EvidenceLedger): void {
  const { result, release } = ledger
  if (!result.index.clearsByResults) return
  const answers = clearingAnswers(ledger)
  if (answers.length === 0) return
  result.present = result.present.filter((one) => {
    const findings = reportsOf(ledger, one)
    const by = answers.flatMap(([at, answer]) => {
      const { clears } = release.checks[result.index.check.get(answer.check)!]!
      const isCleared = clears![answer.result]!.includes(one.condition) && isAbout(ledger, one, answer)
      return isCleared && !isReportedSince(ledger, one, answer) ? [at] : []
    })
    if (by.length === 0 || !mayClear(ledger, one, findings)) return true
    result.cleared.push({ ...one, findings: [...findings], by })
    return false
  })
}

/** Names the conditions that a remedy has cleared; they were never entered. */
export function nameRemedied({ attempts, findings, release, result }: EvidenceLedger): void {
  for (const [at, by] of attempts.over) {
    const { condition: id, device } = findings[at] as ConditionFinding
    const condition = result.index.condition.get(id)!
    const effect = result.instance.effectOf(release.conditions[condition]!.effect, device)
    const named = result.cleared.find((one) => one.effect === effect)
    if (named === undefined) result.cleared.push(given({ condition, device, effect, findings: [at], by: [...by] }))
    else named.findings.push(at)
  }
}

/** Whether all that was reported has cleared. */
export const isAllCleared = ({ present, cleared }: Pick<Gathered, 'present' | 'cleared'>): boolean =>
  present.length === 0 && cleared.length > 0
