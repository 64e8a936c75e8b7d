import { DONT_KNOW, type Finding } from '../findings/finding.ts'
import type { CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'
import { isPast } from './still-so.ts'

/** What a finding speaks of, so that a newer one may replace it; nothing where it never does. */
function subjectOf(release: CompiledRelease, finding: Finding): string | undefined {
  const { condition, context, check, dimensionOf } = indexRelease(release)
  const of = (subject: string, isPerDevice = false) => `${subject} ${isPerDevice ? (finding.device ?? '') : ''}`
  const ofDimension = (of: number) => dimensionOf[of]!.members.join()
  if (finding.kind === 'condition') return condition.has(finding.condition) ? of(finding.condition, true) : undefined
  if (finding.kind === 'context') {
    const index = context.get(finding.context)
    return index === undefined ? undefined : of(ofDimension(index), release.contexts[index]!.isPerDevice)
  }
  if (finding.kind === 'tried') return of(finding.remedy, true)
  if (finding.kind !== 'answer' || finding.result === DONT_KNOW) return undefined
  const asked = release.checks[check.get(finding.check) ?? -1]
  if (asked === undefined || asked.model.kind === 'danger' || asked.model.kind === 'reading') return undefined
  const sets = asked.model.kind === 'applicability' ? asked.model.sets : []
  const [dimension, ...others] = new Set(sets.map((set) => ofDimension(set.context)))
  if (dimension === undefined || others.length > 0) return of(finding.check, asked.isPerDevice)
  return of(dimension, release.contexts[sets[0]!.context]!.isPerDevice)
}

/**
 * Positions of findings that a newer one about the same replaces: an answer to the same question, the same condition, a
 * circumstance that excludes the other, or what came of the same remedy. Only by the times at which they were seen: what has none may be as new, and disputes.
 * A danger that was noticed is never replaced, and "do not know" replaces nothing. Readings settle this by themselves.
 */
export function supersededIn(release: CompiledRelease, findings: readonly Finding[], nowMs?: number): Set<number> {
  const newest = new Map<string, number>()
  const seen = findings.flatMap((finding, at) => {
    const { observedMs } = finding
    if (observedMs === undefined || isPast(finding, nowMs)) return []
    const subject = subjectOf(release, finding)
    if (subject === undefined) return []
    newest.set(subject, Math.max(observedMs, newest.get(subject) ?? observedMs))
    return [{ subject, observedMs, at }]
  })
  return new Set(seen.flatMap(({ subject, observedMs, at }) => (observedMs < newest.get(subject)! ? [at] : [])))
}
