import type { Finding } from '../findings/finding.ts'
import { given } from '../given.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import { silentEffect } from './instantiate.ts'
import { newestOf } from './still-so.ts'

/** Whether everything that the display holds has been read. */
export function gatherScreen(
  ledger: EvidenceLedger,
  isComplete: boolean,
  { observedMs }: Pick<Finding, 'observedMs'>,
): void {
  ledger.screens.push(given({ isComplete, observedMs }))
}

/** Reading on goes one way: what was once read whole has been read, unless it was looked at again since. */
export function settleScreen({ result, screens }: EvidenceLedger): void {
  result.isScreenMentioned = screens.length > 0
  result.isScreenComplete = newestOf(screens).some(({ isComplete }) => isComplete)
}

/** A fully read display that does not show a condition speaks against it. */
export function addSilence(ledger: EvidenceLedger): void {
  const { instance, evidence } = ledger.result
  const spokenOf = new Set(evidence.map(({ effect }) => effect))
  for (const { effect, isOnDisplay } of ledger.release.conditions) {
    const isPerDevice = ledger.release.effects[effect]!.isPerDevice
    if (!isOnDisplay || isPerDevice || spokenOf.has(effect)) continue
    instance.effects[effect] = silentEffect(instance.effects[effect]!)
    evidence.push({ effect, weights: [1, 0], level: 0, findings: [], isReading: false })
  }
}
