import type { EvidenceLedger } from './evidence-ledger.ts'
import { SURELY } from './gathered.ts'
import { isPast } from './still-so.ts'

/**
 * Whether somebody has made sure that a danger is not there now: its question was answered, surely and of the present, and by
 * nobody with its sign or with "do not know".
 */
export function isMadeSureOf({ findings, release, result, limits }: EvidenceLedger, hazard: number): boolean {
  return result.index.dangerChecks.some((check) => {
    const { id, model, results } = release.checks[check]!
    if (model.kind !== 'danger' || model.hazard !== hazard) return false
    const answers = findings.filter((finding) => finding.kind === 'answer' && finding.check === id)
    return (
      answers.length > 0 &&
      answers.every(
        (answer) =>
          answer.kind === 'answer' &&
          answer.result !== model.sign &&
          results.includes(answer.result) &&
          (answer.reliability ?? 1) >= SURELY &&
          !isPast(answer, limits.nowMs),
      )
    )
  })
}
