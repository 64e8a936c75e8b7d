import type { ConditionFinding, Finding, Limits, TriedFinding, UnmappedFinding } from '../findings/finding.ts'
import { followsFrom } from './claims.ts'
import type { CompiledRelease } from './compiled.ts'
import { dangerOf } from './danger-sign.ts'
import { dropContradictions } from './drop-contradictions.ts'
import { EvidenceLedger } from './evidence-ledger.ts'
import { byContent } from './finding-order.ts'
import { liftOfSign } from './first-questions.ts'
import { gatherAnswer } from './gather-answer.ts'
import { nameRemedied, settleCleared } from './gather-cleared.ts'
import { gatherStated } from './gather-context.ts'
import { gatherFollows } from './gather-follows.ts'
import { gatherReading } from './gather-reading.ts'
import { addSilence, gatherScreen, settleScreen } from './gather-screen.ts'
import type { Gathered } from './gathered.ts'
import { isMadeSureOf } from './made-sure.ts'
import { settleReadings } from './settle-readings.ts'
import { oneHot } from './weights.ts'

/** What a condition calls for before anything else is asked though a remedy has cleared it: that says nothing of the danger. */
function askAllTheSame({ release, result }: EvidenceLedger, condition: number, at: number): void {
  for (const check of release.conditions[condition]!.askFirst ?? []) result.askFirst.set(check, at)
}

/** A condition that stands, or is known not to. */
function gatherCondition(ledger: EvidenceLedger, finding: ConditionFinding, at: number): void {
  const condition = ledger.find(ledger.result.index.condition, finding.condition, at, 'condition')
  if (ledger.attempts.over.has(at)) askAllTheSame(ledger, condition, at)
  if (ledger.isPast(finding, at) || ledger.repeats.has(at)) return
  const { effect } = ledger.release.conditions[condition]!
  const level = finding.state === 'present' ? 1 : 0
  const own = ledger.result.instance.effectOf(effect, finding.device)
  const weights = oneHot(2, level, finding.reliability ?? 1)
  ledger.add({ effect: own, weights, level }, at, finding.condition)
  if (level === 1 && !ledger.result.present.some((known) => known.effect === own))
    ledger.result.present.push({
      condition,
      ...(finding.device === undefined ? {} : { device: finding.device }),
      effect: own,
    })
}

/** A condition that was reported for no device is kept with those of the devices it stands on, and adds nothing to them. */
function keepRepeats({ repeats, release, result, findings }: EvidenceLedger): void {
  for (const [at, devices] of repeats) {
    const { condition } = findings[at] as ConditionFinding
    const { effect } = release.conditions[result.index.condition.get(condition)!]!
    const effects = devices.map((device) => result.instance.effectOf(effect, device))
    for (const item of result.evidence) if (effects.includes(item.effect)) item.findings.push(at)
  }
}

/** A signal without a condition says nothing of causes; an alarm calls for the question of its danger. */
function gatherUnmapped(ledger: EvidenceLedger, { ask }: UnmappedFinding, at: number): void {
  ledger.setAside(at)
  const check = ask === undefined ? undefined : ledger.result.index.check.get(ask)
  if (check !== undefined) ledger.result.askFirst.set(check, at)
}

/** A remedy that was tried counts through what all attempts come to; here one that does not count is set aside. */
function gatherTried(ledger: EvidenceLedger, finding: TriedFinding, at: number): void {
  ledger.find(ledger.result.index.remedy, finding.remedy, at, 'remedy')
  const isAside =
    ledger.attempts.aside.has(at) && followsFrom(ledger.result.index, ledger.release, finding) === undefined
  if (!ledger.isPast(finding, at) && isAside) ledger.setAside(at)
}

/** Names every two attempts that are said to have had different results. */
function settleTried(ledger: EvidenceLedger): void {
  const { attempts, findings } = ledger
  const said = (at: number) => findings[at] as TriedFinding
  for (const positions of attempts.disputed)
    positions.forEach((one, rank) => {
      for (const other of positions.slice(rank + 1))
        if (said(one).result !== said(other).result) ledger.contradict(one, other, said(one).remedy)
    })
}

/** Whether a sign was answered anew, to a question whose circumstance says what lifts it: somebody has gone and looked. */
function isLiftedSince({ result, superseded }: EvidenceLedger, finding: Finding, at: number): boolean {
  const check = finding.kind === 'answer' ? result.index.check.get(finding.check) : undefined
  return superseded.has(at) && check !== undefined && liftOfSign(result, check) !== undefined
}

/** Enters one finding, by its kind. A sign of danger counts whatever else becomes of the finding, unless it was lifted since. */
function gatherFinding(ledger: EvidenceLedger, finding: Finding, at: number): void {
  const hazard = dangerOf(ledger.release, finding)
  if (hazard !== undefined && !isLiftedSince(ledger, finding, at)) ledger.result.dangers.push({ hazard, finding: at })
  if (finding.kind === 'condition') gatherCondition(ledger, finding, at)
  else if (finding.kind === 'answer') gatherAnswer(ledger, finding, at)
  else if (finding.kind === 'reading') gatherReading(ledger, finding, at)
  else if (finding.kind === 'context') gatherStated(ledger, finding, at)
  else if (finding.kind === 'tried') gatherTried(ledger, finding, at)
  else if (finding.kind === 'unmapped') gatherUnmapped(ledger, finding, at)
  else if (!ledger.isPast(finding, at)) gatherScreen(ledger, finding.complete, finding)
}

/** A danger that only a condition tells of is none once somebody has looked and found nothing. */
function dropSeenDangers(ledger: EvidenceLedger): void {
  const { result, findings } = ledger
  result.dangers = result.dangers.filter(
    ({ hazard, finding }) => findings[finding]!.kind !== 'condition' || !isMadeSureOf(ledger, hazard),
  )
}

/**
 * Findings turned into evidence on a network with one copy for each device.
 * @throws DomainError UNKNOWN_ID, QUANTITY_OUT_OF_RANGE with a pointer into the findings
 */
export function gather(
  release: CompiledRelease,
  findings: readonly Finding[],
  limits: Pick<Limits, 'nowMs' | 'lackingSenses'> = {},
): Gathered {
  const ledger = new EvidenceLedger(release, findings, limits)
  const order = byContent(ledger.findings)
  for (const at of order) gatherFinding(ledger, ledger.findings[at]!, at)
  dropSeenDangers(ledger)
  settleReadings(ledger)
  settleScreen(ledger)
  settleTried(ledger)
  keepRepeats(ledger)
  if (ledger.result.isScreenComplete) addSilence(ledger)
  dropContradictions(ledger)
  gatherFollows(ledger, order)
  settleCleared(ledger)
  nameRemedied(ledger)
  ledger.inPlaces()
  return ledger.result
}
