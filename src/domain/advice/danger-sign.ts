import type { Finding, TriedFinding } from '../findings/finding.ts'
import type { CompiledCheck, CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'

/** A circumstance that stops every step of a danger is that danger, however it came to light. */
export function dangerOfContext(release: CompiledRelease, context: number): number | undefined {
  for (const check of indexRelease(release).dangerChecks) {
    const { model } = release.checks[check]!
    if (model.kind === 'danger' && release.hazards[model.hazard]!.stopIf.includes(context)) return model.hazard
  }
  return undefined
}

/** The first danger among circumstances and what they bring with them. */
function dangerAmong(release: CompiledRelease, contexts: readonly number[] = []): number | undefined {
  const { brings } = indexRelease(release)
  for (const context of contexts)
    for (const [brought, degree] of brings[context]!) {
      const hazard = degree > 0 ? dangerOfContext(release, brought) : undefined
      if (hazard !== undefined) return hazard
    }
  return undefined
}

function dangerOfResult(release: CompiledRelease, { model, dangers, follows }: CompiledCheck, result: string) {
  if (model.kind === 'danger' && result === model.sign) return model.hazard
  const set =
    model.kind === 'applicability' ? model.sets.flatMap((one) => (one.result === result ? [one.context] : [])) : []
  return dangers?.[result] ?? dangerAmong(release, [...set, ...(follows?.[result]?.implies ?? [])])
}

/** A remedy that did not last can be a sign of a danger, such as a breaker that trips again. */
function dangerOfTried(release: CompiledRelease, { remedy, result }: TriedFinding): number | undefined {
  const at = indexRelease(release).remedy.get(remedy)
  return at === undefined || result !== 'came-back' ? undefined : release.remedies[at]!.danger
}

/** Hazard of the danger that a finding is a sign of, whatever else it says and whenever it was noticed. */
export function dangerOf(release: CompiledRelease, finding: Finding): number | undefined {
  const index = indexRelease(release)
  if (finding.kind === 'condition') {
    const condition = release.conditions[index.condition.get(finding.condition) ?? -1]
    return finding.state === 'present' ? dangerAmong(release, condition?.implies) : undefined
  }
  if (finding.kind === 'context') {
    const context = index.context.get(finding.context)
    return finding.state === 'holds' && context !== undefined ? dangerAmong(release, [context]) : undefined
  }
  if (finding.kind === 'tried') return dangerOfTried(release, finding)
  if (finding.kind !== 'answer') return undefined
  const check = index.check.get(finding.check)
  return check === undefined ? undefined : dangerOfResult(release, release.checks[check]!, finding.result)
}
