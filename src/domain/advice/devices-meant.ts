import type { ConditionFinding, Finding } from '../findings/finding.ts'
import type { CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'
import { isPast } from './still-so.ts'

/** Findings with the device that they are about, also where they do not name it. */
export interface DevicesMeant {
  findings: readonly Finding[]
  /** Conditions of no named device that stand on named ones, each with those: the same fact, which adds nothing to them. */
  repeats: ReadonlyMap<number, readonly string[]>
}

type Stated = readonly [at: number, finding: ConditionFinding]

/** Conditions of devices that are stated of the present, by id. */
function statedOfDevices(release: CompiledRelease, findings: readonly Finding[], nowMs?: number) {
  const index = indexRelease(release)
  const stated = new Map<string, Stated[]>()
  findings.forEach((finding, at) => {
    if (finding.kind !== 'condition' || isPast(finding, nowMs)) return
    const condition = release.conditions[index.condition.get(finding.condition) ?? -1]
    if (condition === undefined || !release.effects[condition.effect]!.isPerDevice) return
    stated.set(condition.id, [...(stated.get(condition.id) ?? []), [at, finding]])
  })
  return [...stated.values()]
}

/** Devices on which a condition stands undisputed; undefined is one that nobody named. */
function devicesUnder(stated: readonly Stated[]): Set<string | undefined> {
  const devicesIn = (state: ConditionFinding['state']) =>
    stated.flatMap(([, finding]) => (finding.state === state ? [finding.device] : []))
  const denied = new Set(devicesIn('absent'))
  return new Set(devicesIn('present').filter((device) => !denied.has(device)))
}

/** Positions at which a condition stands for no named device. */
const unnamedIn = (stated: readonly Stated[]) =>
  stated.flatMap(([at, { state, device }]) => (state === 'present' && device === undefined ? [at] : []))

/** Conditions of no named device that stand on named ones as well. */
function repeatsIn(conditions: readonly (readonly Stated[])[]): Map<number, string[]> {
  const repeats = new Map<number, string[]>()
  for (const stated of conditions) {
    const devices = devicesUnder(stated)
    const named = [...devices].filter((device) => device !== undefined).sort()
    if (named.length === 0 || !devices.has(undefined)) continue
    for (const at of unnamedIn(stated)) repeats.set(at, named)
  }
  return repeats
}

/** The one named device on which everything stands that was said of none; undefined where there is no such device. */
function theOnlyOne(conditions: readonly (readonly Stated[])[], repeats: DevicesMeant['repeats']): string | undefined {
  if (conditions.some((stated) => unnamedIn(stated).some((at) => !repeats.has(at)))) return undefined
  const devices = new Set([...repeats.values()].flat())
  return devices.size === 1 ? [...devices][0] : undefined
}

/** Whether an answer, a reading, a circumstance or a remedy is about a device, whichever. */
function isOfDevice(release: CompiledRelease, finding: Finding): boolean {
  const index = indexRelease(release)
  if (finding.kind === 'answer') return release.checks[index.check.get(finding.check) ?? -1]?.isPerDevice === true
  if (finding.kind === 'context')
    return release.contexts[index.context.get(finding.context) ?? -1]?.isPerDevice === true
  if (finding.kind === 'tried') return index.isRemedyOfDevice[index.remedy.get(finding.remedy) ?? -1] === true
  return finding.kind === 'reading' && release.readings[index.reading.get(finding.reading) ?? -1]?.isPerDevice === true
}

/**
 * A display that says "device missing" and a signal that adds which one report one fact: the condition of no named device
 * repeats the same condition of named ones. Where that leaves a single device, answers, readings, circumstances and
 * remedies that name none are about it.
 */
export function devicesMeant(release: CompiledRelease, findings: readonly Finding[], nowMs?: number): DevicesMeant {
  if (findings.every(({ device }) => device === undefined)) return { findings, repeats: new Map() }
  const conditions = statedOfDevices(release, findings, nowMs)
  const repeats = repeatsIn(conditions)
  const only = theOnlyOne(conditions, repeats)
  const deviceOf = (finding: Finding, at: number) =>
    repeats.get(at)?.[0] ?? (finding.device === undefined && isOfDevice(release, finding) ? only : undefined)
  const withDevice = (finding: Finding, at: number): Finding => {
    const device = deviceOf(finding, at)
    return device === undefined ? finding : { ...finding, device }
  }
  return { findings: findings.map(withDevice), repeats }
}
