import type { Decoded } from '../domain/displays/decode.ts'
import { decode } from '../domain/displays/decode.ts'
import type { Tense } from '../domain/displays/profile.ts'
import type { Observation } from '../domain/displays/seen.ts'
import type { Profile } from '../ontology/profile.ts'
import type { Release } from '../ontology/release.ts'
import { basisOf } from './basis.ts'
import { profileHash } from './display-profiles.ts'
import type { Wording } from './texts.ts'

/** What the diagnosis takes of a display. */
export type DisplayFinding =
  | { kind: 'condition'; condition: string; state: 'present' | 'absent'; device?: string; tense?: Tense }
  | { kind: 'screen'; complete: boolean }

/** Conditions that a device can have by itself; of others a device's name says nothing that counts. */
function conditionsOfDevices({ compiled }: Release): Set<string> {
  return new Set(compiled.conditions.filter(({ effect }) => compiled.effects[effect]!.isPerDevice).map(({ id }) => id))
}

/**
 * The decoded display as findings: what stands, for each device, and what was earlier; then what does not stand at all; last
 * whether everything has been read. That a single device does not have a condition is not among them.
 */
export function findingsOf(
  release: Release,
  { established, excluded, isComplete }: Decoded,
  most: number,
): DisplayFinding[] {
  const perDevice = conditionsOfDevices(release)
  const present = established.flatMap(({ condition, tense, devices }): DisplayFinding[] => {
    const base = { kind: 'condition', condition, state: 'present', ...(tense === 'earlier' && { tense }) } as const
    const named = perDevice.has(condition) ? devices : []
    return named.length === 0 ? [base] : named.map((device) => ({ ...base, device }))
  })
  const absent = excluded.flatMap(({ condition, devices }): DisplayFinding[] =>
    devices === undefined ? [{ kind: 'condition', condition, state: 'absent' }] : [],
  )
  return [...[...present, ...absent].slice(0, most - 1), { kind: 'screen', complete: isComplete }]
}

interface Asked {
  wording: Wording
  profile: Profile
  observed: readonly Observation[]
  /** Findings that a diagnosis takes at most. */
  mostFindings: number
}

/**
 * Reads a partial look at a display by its profile and puts the result into words and findings.
 * @throws DomainError UNKNOWN_ID for a screen or mark that the profile does not have
 */
export async function decodeDisplay({ wording, profile, observed, mostFindings }: Asked) {
  const decoded = decode(profile, observed)
  const { established, excluded, hidden, undecided, doubts, next } = decoded
  const labelled = <T extends { condition: string }>(fact: T) => ({ ...fact, label: wording.label(fact.condition) })
  const named = `${profile.profile}@${profile.version} sha256:${await profileHash(profile)}`
  return {
    basis: { ...basisOf(wording.release), profiles: [named] },
    ...wording.stated(),
    established: established.map(labelled),
    excluded: excluded.map(labelled),
    hidden: hidden.map((screen) => ({ ...screen, conditions: screen.conditions.map(labelled) })),
    undecided: undecided.map((condition) => labelled({ condition })),
    doubts,
    next: next ?? null,
    findings: findingsOf(wording.release, decoded, mostFindings),
  }
}
