import { type ChangeClass, type ConceptChange, gravest } from './diff.ts'

export type VersionStep = 'major' | 'minor' | 'patch'
type Version = [major: number, minor: number, patch: number]

function parseVersion(version: string): Version {
  const parts = /^(\d+)\.(\d+)\.(\d+)$/.exec(version)
  if (!parts) throw new Error(`${version} is not a version: three numbers such as 0.2.0`)
  return [Number(parts[1]), Number(parts[2]), Number(parts[3])]
}

/** Negative when a is before b. */
export function compareVersions(a: string, b: string): number {
  const [left, right] = [parseVersion(a), parseVersion(b)]
  return left[0] - right[0] || left[1] - right[1] || left[2] - right[2]
}

const STEP: Record<ChangeClass, VersionStep> = {
  breaking: 'major',
  numeric: 'minor',
  compatible: 'minor',
  editorial: 'patch',
}

/** The version that follows by one step. */
export function nextVersion(version: string, step: VersionStep): string {
  const [major, minor, patch] = parseVersion(version)
  if (step === 'major') return `${major + 1}.0.0`
  return step === 'minor' ? `${major}.${minor + 1}.0` : `${major}.${minor}.${patch + 1}`
}

/** The least step that the changes ask for; before 1.0.0 a break is a minor step (Semantic Versioning 2.0.0, 4, from memory). */
export function requiredStep(from: string, changes: readonly ConceptChange[]): VersionStep {
  const step = STEP[gravest(changes.map((change) => change.class))]
  return step === 'major' && parseVersion(from)[0] === 0 ? 'minor' : step
}

/**
 * Why `to` may not follow `from` with these changes; undefined when it may.
 * The version is exactly one step on, and the step is the one that the gravest change asks for.
 */
export function refusedStep(from: string, to: string, changes: readonly ConceptChange[]): string | undefined {
  if (changes.length === 0) return `nothing changed since ${from}: there is nothing to release`
  const step = requiredStep(from, changes)
  const expected = nextVersion(from, step)
  if (to === expected) return undefined
  const worst = changes.filter((change) => change.class === gravest(changes.map((item) => item.class)))
  const named = worst.slice(0, 5).map(({ id }) => id)
  return `${from} must be followed by ${expected}, not ${to}: ${worst.length} ${worst[0]!.class} changes, such as ${named.join(', ')}`
}
