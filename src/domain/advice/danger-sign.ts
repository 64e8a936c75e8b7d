import type { Finding } from '../findings/finding.ts'
import type { CompiledCheck, CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'

/** A circumstance that stops every step of a danger is that danger, however it came to light. */
function dangerOfContext({ checks, hazards }: CompiledRelease, context: number): number | undefined {
  for (const { model } of checks)
    if (model.kind === 'danger' && hazards[model.hazard]!.stopIf.includes(context)) return model.hazard
  return undefined
}

function dangerOfResult(release: CompiledRelease, { model, dangers }: CompiledCheck, result: string) {
  if (model.kind === 'danger') return result === model.sign ? model.hazard : undefined
  const set = model.kind === 'applicability' ? model.sets.find((one) => one.result === result) : undefined
  return dangers?.[result] ?? (set && dangerOfContext(release, set.context))
}

/** Hazard of the danger that a finding is a sign of, whatever else it says and whenever it was noticed. */
export function dangerOf(release: CompiledRelease, finding: Finding): number | undefined {
  const index = indexRelease(release)
  if (finding.kind === 'context') {
    const context = index.context.get(finding.context)
    return finding.state === 'holds' && context !== undefined ? dangerOfContext(release, context) : undefined
  }
  if (finding.kind !== 'answer') return undefined
  const check = index.check.get(finding.check)
  return check === undefined ? undefined : dangerOfResult(release, release.checks[check]!, finding.result)
}
