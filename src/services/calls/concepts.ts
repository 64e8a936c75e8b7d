import type { SentFinding } from '../../domain/calls/event.ts'
import { type StandingReport, type StandingSpan, standingSpans } from '../../domain/calls/standing.ts'
import type { CallState } from '../../domain/calls/state.ts'
import type { Release } from '../../ontology/release.ts'
import { findingOfSignal } from '../signal-findings.ts'

/** The condition that a finding reports, directly or through the crosswalk. */
function conditionOf(release: Release, finding: SentFinding): { condition: string; isPresent: boolean } | undefined {
  if (finding.tense === 'earlier') return undefined
  if (finding.kind === 'condition')
    return { condition: String(finding.condition), isPresent: finding.state === 'present' }
  if (finding.kind !== 'signal') return undefined
  const {
    scheme,
    code,
    state = 'present',
  } = finding as unknown as {
    scheme: string
    code: string
    state?: 'present' | 'absent'
  }
  const found = findingOfSignal(release, { scheme, code, state }, 0)
  return found.kind === 'condition' ? { condition: found.condition, isPresent: found.state === 'present' } : undefined
}

/** What was reported of conditions, each at the time it was seen, or else entered. */
export function reportsOf(release: Release, { findings }: CallState): StandingReport[] {
  return findings.flatMap(({ finding, at, isWithdrawn }) => {
    const reported = isWithdrawn ? undefined : conditionOf(release, finding)
    if (!reported) return []
    const { device, observedAt } = finding
    const seenAt = observedAt === undefined ? at : Date.parse(observedAt)
    return [{ ...reported, ...(device === undefined ? {} : { device }), at: seenAt }]
  })
}

/** When each condition of a call was reported to stand. */
export function spansOf(release: Release, state: CallState): StandingSpan[] {
  return standingSpans(
    reportsOf(release, state),
    state.cleared.map(({ at }) => at),
  )
}

/** What a call is found by: conditions that were reported present, causes that were confirmed. */
export function conceptsOfCall(release: Release, state: CallState): string[] {
  const reported = reportsOf(release, state).flatMap(({ condition, isPresent }) => (isPresent ? [condition] : []))
  return [...new Set([...reported, ...(state.outcome?.confirmed ?? []).map(({ cause }) => cause)])].sort()
}
