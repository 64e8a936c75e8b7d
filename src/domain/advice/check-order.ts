import type { CompiledRelease } from './compiled.ts'
import { askedKey } from './gathered.ts'
import type { NextCheck } from './search-state.ts'

/** Rates nearer than about this ratio are the same to a person on the phone: then the safer and easier question goes first. Judgement. */
export const NEAR_RATIO = 1.15
const quantise = (rate: number) => Math.round(Math.log(rate) / Math.log(NEAR_RATIO))

/** How much a check disturbs and endangers. */
const ease = ({ checks }: CompiledRelease, { check }: NextCheck) =>
  checks[check]!.disturbs.length + checks[check]!.hazards.length
const twoStepRate = ({ twoStepBits, gainBits, minutes }: NextCheck) => (twoStepBits ?? gainBits) / minutes

/** How grave the loss is that a check speaks of, gravest first. */
type LossOf = (next: NextCheck) => number
const ALIKE: LossOf = () => 0

/** Checks as good as the first: near it in rate, as safe, and about as grave a loss. */
export function nearEquals(
  release: CompiledRelease,
  [first, ...rest]: readonly NextCheck[],
  lossOf = ALIKE,
): NextCheck[] {
  if (!first) return []
  const isNear = (other: NextCheck) =>
    quantise(other.bitsPerMinute) === quantise(first.bitsPerMinute) &&
    ease(release, other) === ease(release, first) &&
    lossOf(other) === lossOf(first)
  return [first, ...rest.filter(isNear)]
}

const byName = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0)

/** By rate, near-equals by fewer things disturbed and fewer hazards, then the graver loss first, then by what they and the next bring, then by id and device: the same everywhere. */
export function inOrder(release: CompiledRelease, lossOf = ALIKE): (a: NextCheck, b: NextCheck) => number {
  return (a, b) =>
    quantise(b.bitsPerMinute) - quantise(a.bitsPerMinute) ||
    ease(release, a) - ease(release, b) ||
    lossOf(a) - lossOf(b) ||
    Math.round((twoStepRate(b) - twoStepRate(a)) * 1e9) ||
    Math.round((b.bitsPerMinute - a.bitsPerMinute) * 1e9) ||
    byName(release.checks[a.check]!.id, release.checks[b.check]!.id) ||
    byName(a.device ?? '', b.device ?? '')
}

/** The same question once, where it ranks highest. */
export function unique(checks: readonly NextCheck[]): NextCheck[] {
  const seen = new Set<string>()
  return checks.filter(({ check, device }) => {
    const key = askedKey(check, device)
    if (seen.has(key)) return false
    seen.add(key)
    return true
  })
}
