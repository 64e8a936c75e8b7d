import { DomainError } from '../domain/errors.ts'
import type { Finding } from '../domain/findings/finding.ts'
import type { Release } from '../ontology/release.ts'
import { schemeNames } from './crosswalks.ts'

export interface Signal {
  scheme: string
  code: string
  state: 'present' | 'absent'
}

/**
 * The condition that a code of a standard stands for. A code that covers more than one condition, or is only related to
 * some, says nothing that counts; it keeps its place and is named among the unused. An alarm names the danger to ask about.
 * @throws DomainError UNKNOWN_ID for a scheme or a code that the release does not have
 */
export function findingOfSignal(release: Release, { scheme, code, state }: Signal, at: number): Finding {
  const crosswalk = release.ontology.crosswalks.find((entry) => entry.scheme === scheme)
  const unknown = (field: 'scheme' | 'code', value: string, limit: string) =>
    new DomainError('UNKNOWN_ID', `${field} must be one of ${limit}, got ${value}`, {
      path: `/findings/${at}/${field}`,
      limit,
      value,
    })
  if (!crosswalk) throw unknown('scheme', scheme, schemeNames(release).join(', '))
  const entry = crosswalk.codes.find((known) => known.code === code)
  if (!entry) throw unknown('code', code, `the codes of ${scheme}`)
  const ask = state === 'present' && entry.ask !== undefined ? { ask: entry.ask } : {}
  const alike = entry.mappings.filter(({ relation }) => relation === 'equivalent' || relation === 'narrower')
  const [only] = alike.length === 1 ? alike : entry.mappings.length === 1 ? entry.mappings : []
  if (!only || only.relation === 'related') return { kind: 'unmapped', ...ask }
  return { kind: 'condition', condition: only.concept, state }
}
