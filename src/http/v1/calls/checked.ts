import { gather } from '../../../domain/advice/gather.ts'
import type { SentFinding } from '../../../domain/calls/event.ts'
import type { CallState } from '../../../domain/calls/state.ts'
import { DONT_KNOW, type Finding } from '../../../domain/findings/finding.ts'
import type { Release } from '../../../ontology/release.ts'
import { ProblemError } from '../../problem.ts'
import { checkDevices, toFinding, type WireFinding } from '../diagnose/index.ts'
import { isPersonal } from './fields.ts'

/** What was sent to a call, held against the release that it is pinned to. */

function unknownId(release: Release, pointer: string, value: string): ProblemError {
  const detail = `${pointer.split('/').at(-1)} must be an id of release ${release.version}, got ${value}`
  return new ProblemError('UNKNOWN_ID', detail, [{ pointer, code: 'UNKNOWN_ID', detail, value }])
}

/** @throws 422 when the release has no such concept of the kind */
export function requireId(release: Release, kind: 'cause' | 'check' | 'remedy', id: string, pointer: string): void {
  if (release.concepts.get(id)?.kind !== kind) throw unknownId(release, pointer, id)
}

/** @throws 422 when the check has no such result */
export function requireResult(release: Release, check: string, result: string): void {
  requireId(release, 'check', check, '/check')
  const { results } = release.compiled.checks.find(({ id }) => id === check)!
  if (results.includes(result) || result === DONT_KNOW) return
  const limit = [...results, DONT_KNOW].join(', ')
  const detail = `result must be one of ${limit}, got ${result}`
  throw new ProblemError('INPUT_INVALID', detail, [
    { pointer: '/result', code: 'INVALID_VALUE', detail, limit, value: result },
  ])
}

function refusePersonal(finding: WireFinding, at: number): void {
  for (const field of ['id', 'device', 'source'] as const) {
    const value = finding[field]
    if (value === undefined || !isPersonal(value)) continue
    const detail = `${field} must hold no telephone number, e-mail address, address or code`
    throw new ProblemError('INPUT_INVALID', detail, [
      { pointer: `/findings/${at}/${field}`, code: 'LOOKS_PERSONAL', detail },
    ])
  }
}

const unitsOf = (release: Release) => {
  const units = new Map(release.compiled.readings.map(({ id, unit }) => [id, unit]))
  return (id: string) => units.get(id)
}

/** @throws DomainError or 422 when a finding is not one that the release understands, or holds what is not to be kept */
export function requireFindings(release: Release, findings: readonly WireFinding[]): void {
  findings.forEach(refusePersonal)
  const read = findings.map((finding, at) => toFinding(release, finding, at, unitsOf(release)))
  gather(release.compiled, read, {})
}

/**
 * The findings of a call as the engine reads them; one that was withdrawn keeps its place and says nothing. What has no time
 * of its own was seen when it was recorded, so that what is said later in a call counts over what was said before.
 */
export function findingsOf(release: Release, { findings }: Pick<CallState, 'findings'>): Finding[] {
  const sent = (finding: SentFinding) => finding as unknown as WireFinding
  checkDevices({ findings: findings.flatMap(({ finding, isWithdrawn }) => (isWithdrawn ? [] : [sent(finding)])) })
  return findings.map(({ finding, isWithdrawn, at: recordedMs }, at) =>
    isWithdrawn
      ? { kind: 'unmapped' }
      : { observedMs: recordedMs, ...toFinding(release, sent(finding), at, unitsOf(release)) },
  )
}
