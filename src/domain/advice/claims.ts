import type { Finding } from '../findings/finding.ts'
import type { CompiledRelease, Follows } from './compiled.ts'
import { dangerOfContext } from './danger-sign.ts'
import { countedDevices } from './device-count.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import type { StatedContexts } from './gathered.ts'
import { isMadeSureOf } from './made-sure.ts'
import type { ReleaseIndex } from './release-index.ts'

/** That a circumstance holds or does not, as a finding says or as follows from it. */
export interface Claim {
  context: number
  device: string | undefined
  holds: boolean
  degree: number
  finding: number
  /** The display shows what it follows from: a better witness than what somebody says. */
  isShown: boolean
  /** Stated itself, and not what follows. */
  isStated: boolean
}
type Origin = Pick<Claim, 'device' | 'degree' | 'finding' | 'isShown'>

export const keyOf = ({ context, device, holds, finding }: Claim) => `${context} ${holds} ${finding} ${device ?? ''}`

/** Claims that follow from something, of the device that it is about. */
function claimsOf({ implies = [], rulesOut = [] }: Follows, origin: Origin): Claim[] {
  const { device, degree, finding, isShown } = origin
  const claim = (holds: boolean) => (context: number) => {
    return { context, device, holds, degree, finding, isShown, isStated: false }
  }
  return [...implies.map(claim(true)), ...rulesOut.map(claim(false))]
}

/** A danger that what stands may come with does not follow once somebody has looked. */
function isRuledOutDanger(ledger: EvidenceLedger, context: number): boolean {
  const hazard = dangerOfContext(ledger.release, context)
  return hazard !== undefined && isMadeSureOf(ledger, hazard)
}

/** What the display shows: conditions that stand, and how many devices are on the list. */
export function shown(ledger: EvidenceLedger): Claim[] {
  const { result, release } = ledger
  const originOf = (effect: number, device: string | undefined): Origin => {
    const { findings, weights } = result.evidence.find((item) => item.effect === effect)!
    return { device, degree: weights[1]!, finding: findings[0]!, isShown: true }
  }
  const claims: Claim[] = []
  for (const { condition, device, effect } of result.present) {
    const one = release.conditions[condition]!
    if (one.implies === undefined && one.rulesOut === undefined) continue
    const follow = claimsOf(one, originOf(effect, device))
    claims.push(...follow.filter(({ context }) => !isRuledOutDanger(ledger, context)))
  }
  const counted = countedDevices(result)
  if (counted !== undefined)
    claims.push(...claimsOf({ implies: [counted.context] }, originOf(counted.effect, undefined)))
  return claims
}

function statedIn(stated: StatedContexts, device: string | undefined): Claim[] {
  const claim =
    (holds: boolean, degrees: ReadonlyMap<number, number>) =>
    ([context, finding]: readonly [number, number]): Claim => {
      return { context, device, holds, degree: degrees.get(context) ?? 1, finding, isShown: false, isStated: true }
    }
  return [
    ...[...stated.contexts].map(claim(true, stated.degrees)),
    ...[...stated.excludedContexts].map(claim(false, stated.exclusionDegrees)),
  ]
}

/** What follows from an answer, or from what came of a remedy. */
export function followsFrom(
  { check, remedy }: Pick<ReleaseIndex, 'check' | 'remedy'>,
  { checks, remedies }: CompiledRelease,
  finding: Finding,
): Follows | undefined {
  if (finding.kind === 'answer') return checks[check.get(finding.check)!]!.follows?.[finding.result]
  return finding.kind === 'tried' ? remedies[remedy.get(finding.remedy)!]!.follows?.[finding.result] : undefined
}

/** What was said: circumstances, and answers and trials from which some follow. */
export function said({ result, findings, release, disputed }: EvidenceLedger, order: readonly number[]): Claim[] {
  const claims = statedIn(result, undefined)
  for (const [device, own] of result.onDevice) claims.push(...statedIn(own, device))
  if (!result.index.tellsByResults) return claims
  for (const at of order) {
    const finding = findings[at]!
    if (disputed.has(at) || result.unused.includes(at)) continue
    const follows = followsFrom(result.index, release, finding)
    if (follows === undefined) continue
    const { device, reliability: degree = 1 } = finding
    claims.push(...claimsOf(follows, { device, degree, finding: at, isShown: false }))
  }
  return claims
}

/** Claims with all that follows from them, but for those that are in doubt; of each device where nothing says which. */
export function closure(
  { release, result }: EvidenceLedger,
  start: readonly Claim[],
  doubtful: ReadonlySet<string>,
): Claim[] {
  const { devices, hasUnnamedDevice } = result.instance
  const placed = (claim: Claim): Claim[] => {
    if (release.contexts[claim.context]!.isPerDevice !== true)
      return [claim.device === undefined ? claim : { ...claim, device: undefined }]
    const isOfAll = claim.device === undefined && !hasUnnamedDevice && !claim.isStated && devices.length > 0
    return isOfAll ? devices.map((device) => ({ ...claim, device })) : [claim]
  }
  const found = new Map<string, Claim>()
  const queue = start.flatMap(placed)
  for (const claim of queue) {
    const key = keyOf(claim)
    if (found.has(key) || doubtful.has(key)) continue
    found.set(key, claim)
    if (claim.holds) queue.push(...claimsOf(release.contexts[claim.context]!, claim).flatMap(placed))
  }
  return [...found.values()]
}
