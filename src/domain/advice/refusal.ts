import { DomainError } from '../errors.ts'
import type { Finding } from '../findings/finding.ts'
import type { CompiledRelease } from './compiled.ts'
import { dangerOf } from './danger-sign.ts'
import type { Gathered } from './gathered.ts'

const OF_EVIDENCE = ['EVIDENCE_IMPOSSIBLE', 'EVIDENCE_TOO_ENTANGLED']

/** Whether an error says that the evidence as a whole cannot be worked through. */
export function isAboutEvidence(error: unknown): error is DomainError {
  return error instanceof DomainError && OF_EVIDENCE.includes(error.code)
}

/** A refusal of the engine in terms of the findings behind the effects it names; points at the last of them. */
export function inTermsOfFindings(error: DomainError, known: Gathered): DomainError {
  const effects = error.detail.effects ?? []
  const positions = known.evidence
    .filter(({ effect }) => effects.includes(effect))
    .flatMap(({ findings }) => findings)
    .sort((a, b) => a - b)
  const last = positions.at(-1)
  if (last === undefined) return error
  const message = `${error.message}; it is about findings ${positions.join(', ')}`
  return new DomainError(error.code, message, { ...error.detail, path: `/findings/${last}` })
}

/** The findings with everything but danger signs made neutral, positions kept; undefined when there is no danger. */
export function dangersOnly(release: CompiledRelease, findings: readonly Finding[]): Finding[] | undefined {
  const isDanger = (finding: Finding) => dangerOf(release, finding) !== undefined
  if (!findings.some(isDanger)) return undefined
  return findings.map((finding) => (isDanger(finding) ? finding : { kind: 'screen', complete: false }))
}
