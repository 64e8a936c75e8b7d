import type { ConditionFinding, Finding, TriedFinding } from '../findings/finding.ts'
import type { CompiledRelease } from './compiled.ts'
import { SURELY } from './gathered.ts'
import type { CauseKey, Instance } from './instantiate.ts'
import { indexRelease } from './release-index.ts'
import { isPast } from './still-so.ts'

/** A remedy that was carried out, so that what it removes is gone by as much as it removes. */
export interface Carried {
  remedy: number
  device?: string
  /** Probability that it was really carried out. */
  reliability: number
  /** Positions of the findings that say so. */
  findings: readonly number[]
}

/** What attempts come to. */
export interface Attempts {
  carried: readonly Carried[]
  /** Remedies after which the trouble went and came back. */
  cameBack: readonly Carried[]
  /** Positions of conditions that a remedy has cleared and that nobody has seen since, each with those of the attempts. */
  over: ReadonlyMap<number, readonly number[]>
  /** Positions of attempts that say nothing of what is now. */
  aside: ReadonlySet<number>
  /** Positions of attempts of which several different things are said to have come. */
  disputed: readonly (readonly number[])[]
}

const NO_ATTEMPTS: Attempts = { carried: [], cameBack: [], over: new Map(), aside: new Set(), disputed: [] }

type Placed<F> = readonly [at: number, finding: F]

/**
 * Devices that a remedy was carried out on: the named one; else the one that was not named, or, where there is no such device,
 * each of those that were.
 */
function devicesOf(
  { devices, hasUnnamedDevice }: Instance,
  device: string | undefined,
): readonly (string | undefined)[] {
  if (device !== undefined) return [device]
  return hasUnnamedDevice || devices.length === 0 ? [undefined] : devices
}

/** Whether a remedy was carried out where a cause is: on its device, or anywhere for a cause of the system. */
export function wasDoneAt(instance: Instance, { device }: Pick<Carried, 'device'>, key: CauseKey): boolean {
  return !instance.release.causes[key.cause]!.isPerDevice || devicesOf(instance, device).includes(key.device)
}

/** Findings about one remedy on one device. */
function byRemedy(
  release: CompiledRelease,
  findings: readonly Finding[],
  isGone: (finding: Finding, at: number) => boolean,
): Placed<TriedFinding>[][] {
  const { remedy } = indexRelease(release)
  const groups = new Map<string, Placed<TriedFinding>[]>()
  findings.forEach((finding, at) => {
    if (finding.kind !== 'tried' || !remedy.has(finding.remedy) || isGone(finding, at)) return
    const name = `${finding.remedy} ${finding.device ?? ''}`
    groups.set(name, [...(groups.get(name) ?? []), [at, finding]])
  })
  return [...groups.keys()].sort().map((name) => groups.get(name)!)
}

/** Whether a condition comes from a cause that a remedy removes, where it was carried out. */
function isClearedBy(instance: Instance, attempt: TriedFinding, { condition, device }: ConditionFinding): boolean {
  const { release } = instance
  const index = indexRelease(release)
  const { effect } = release.conditions[index.condition.get(condition)!]!
  const { isPerDevice, links } = release.effects[effect]!
  const removes = new Set(release.remedies[index.remedy.get(attempt.remedy)!]!.fixes.map(({ cause }) => cause))
  return links.some(
    ({ cause }) =>
      removes.has(cause) && (!isPerDevice || wasDoneAt(instance, attempt, { cause, ...(device && { device }) })),
  )
}

/** Only a time of both tells that a condition was seen after the remedy. */
const isNewer = (condition: ConditionFinding, attempt: TriedFinding): boolean =>
  condition.observedMs !== undefined && attempt.observedMs !== undefined && condition.observedMs > attempt.observedMs

/** Conditions that are reported to stand and that nothing newer replaces. */
function standingIn(
  release: CompiledRelease,
  findings: readonly Finding[],
  isGone: (finding: Finding, at: number) => boolean,
): Placed<ConditionFinding>[] {
  const { condition } = indexRelease(release)
  return findings.flatMap((finding, at): Placed<ConditionFinding>[] => {
    const stands = finding.kind === 'condition' && finding.state === 'present' && condition.has(finding.condition)
    return stands && !isGone(finding, at) ? [[at, finding]] : []
  })
}

const sureness = ({ reliability = 1 }: TriedFinding): number => reliability

const isOfSurely = (group: readonly Placed<TriedFinding>[]): boolean => group.some(([, one]) => sureness(one) >= SURELY)

/** What a remedy on a device cleared; undefined where it says nothing of what is now: it cleared something, and it is back. */
function clearedBy(
  instance: Instance,
  group: readonly Placed<TriedFinding>[],
  standing: readonly Placed<ConditionFinding>[],
): number[] | undefined {
  const [, attempt] = group[0]!
  if (attempt.result === 'no-change') return []
  if (attempt.result === 'came-back' || !isOfSurely(group)) return undefined
  const cleared = standing.filter(([, condition]) => isClearedBy(instance, attempt, condition))
  const isBack = cleared.some(([, condition]) => group.every(([, one]) => isNewer(condition, one)))
  return isBack ? undefined : cleared.map(([at]) => at)
}

function carriedOut(release: CompiledRelease, group: readonly Placed<TriedFinding>[]): Carried {
  const [, { remedy, device }] = group[0]!
  return {
    remedy: indexRelease(release).remedy.get(remedy)!,
    ...(device === undefined ? {} : { device }),
    reliability: Math.max(...group.map(([, one]) => sureness(one))),
    findings: group.map(([at]) => at),
  }
}

/**
 * What the remedies that were tried come to. One that changed nothing was carried out in vain. One that cleared the trouble was
 * carried out too, and the conditions it clears are over, as far as nobody saw them later. Where it came back, as somebody says
 * or as a later condition shows, nothing is known of what is now: the remedy did something, so its cause was likely there, and
 * whether the same is there again or what had brought it about is not told. A doubtful clearing settles nothing either. Of
 * different results of one remedy on one device none counts.
 *
 * @param gone - positions that a newer finding replaces
 */
export function attemptsIn(
  instance: Instance,
  findings: readonly Finding[],
  gone: ReadonlySet<number>,
  nowMs?: number,
): Attempts {
  if (!findings.some(({ kind }) => kind === 'tried')) return NO_ATTEMPTS
  const { release } = instance
  const isGone = (finding: Finding, at: number) => isPast(finding, nowMs) || gone.has(at)
  const standing = standingIn(release, findings, isGone)
  const carried: Carried[] = []
  const cameBack: Carried[] = []
  const over = new Map<number, number[]>()
  const aside = new Set<number>()
  const disputed: number[][] = []
  for (const group of byRemedy(release, findings, isGone)) {
    const positions = group.map(([at]) => at)
    const isOfOneMind = group.every(([, { result }]) => result === group[0]![1].result)
    const cleared = isOfOneMind ? clearedBy(instance, group, standing) : undefined
    if (!isOfOneMind) disputed.push(positions)
    else if (cleared === undefined) {
      for (const at of positions) aside.add(at)
      if (isOfSurely(group)) cameBack.push(carriedOut(release, group))
    } else carried.push(carriedOut(release, group))
    for (const at of cleared ?? []) over.set(at, [...(over.get(at) ?? []), ...positions])
  }
  return { carried, cameBack, over, aside, disputed }
}
