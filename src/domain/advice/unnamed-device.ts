import type { Finding } from '../findings/finding.ts'
import type { CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'

/** Some device must be thought of: a finding about a device names none, or a condition of the system can come from one. */
export function speaksOfUnnamedDevice(release: CompiledRelease, findings: readonly Finding[]): boolean {
  const index = indexRelease(release)
  const namesDevices = findings.some(({ device }) => device !== undefined)
  const effectSpeaks = (effect: number) => {
    const { isPerDevice, links } = release.effects[effect]!
    return isPerDevice || (!namesDevices && links.some(({ cause }) => release.causes[cause]!.isPerDevice))
  }
  return findings.some((finding) => {
    if (finding.device !== undefined) return false
    if (finding.kind === 'condition') {
      const condition = release.conditions[index.condition.get(finding.condition) ?? -1]
      return condition !== undefined && finding.state === 'present' && effectSpeaks(condition.effect)
    }
    if (finding.kind === 'reading')
      return release.readings[index.reading.get(finding.reading) ?? -1]?.isPerDevice === true
    if (finding.kind === 'context')
      return !namesDevices && release.contexts[index.context.get(finding.context) ?? -1]?.isPerDevice === true
    if (finding.kind === 'tried')
      return !namesDevices && index.isRemedyOfDevice[index.remedy.get(finding.remedy) ?? -1] === true
    const check = finding.kind === 'answer' ? (index.check.get(finding.check) ?? -1) : -1
    // What tells a circumstance of a device alone makes no device beside those that are named.
    return release.checks[check]?.isPerDevice === true && !(namesDevices && index.tellsOfDevice[check])
  })
}
