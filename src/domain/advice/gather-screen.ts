import type { EvidenceLedger } from './evidence-ledger.ts'
import { silentEffect } from './instantiate.ts'

/** Whether everything that the display holds has been read. */
export function gatherScreen(ledger: EvidenceLedger, isComplete: boolean): void {
  ledger.result.isScreenMentioned = true
  ledger.result.isScreenComplete = isComplete
}

/** A fully read display that does not show a condition speaks against it. */
export function addSilence(ledger: EvidenceLedger): void {
  const { instance, evidence } = ledger.result
  for (const { effect, isOnDisplay } of ledger.release.conditions) {
    const isPerDevice = ledger.release.effects[effect]!.isPerDevice
    if (!isOnDisplay || isPerDevice || evidence.some((item) => item.effect === effect)) continue
    instance.effects[effect] = silentEffect(instance.effects[effect]!)
    evidence.push({ effect, weights: [1, 0], level: 0, findings: [], isReading: false })
  }
}
