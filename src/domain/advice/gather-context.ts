import type { ContextFinding } from '../findings/finding.ts'
import type { EvidenceLedger } from './evidence-ledger.ts'
import type { StatedContexts } from './gathered.ts'

/** What is said of a circumstance: by whom, how surely, and of which device where it is one of a device. */
export interface Said {
  at: number
  reliability?: number | undefined
  device?: string | undefined
}

/** A circumstance that holds or does not; its opposite, or another of its dimension, contradicts it. */
export function gatherContext(ledger: EvidenceLedger, context: number, holds: boolean, said: Said): void {
  for (const stated of ledger.statedFor(context, said.device)) enter(ledger, stated, context, holds, said)
}

function enter(
  ledger: EvidenceLedger,
  { contexts, excludedContexts, degrees, exclusionDegrees }: StatedContexts,
  context: number,
  holds: boolean,
  { at, reliability = 1 }: Said,
): void {
  const { dimension, id } = ledger.release.contexts[context]!
  const dispute = (other: number) => {
    ledger.contradict(other, at, id)
    ledger.disputed.add(other).add(at)
  }
  const opposite = (holds ? excludedContexts : contexts).get(context)
  if (opposite !== undefined) dispute(opposite)
  if (!holds) {
    excludedContexts.set(context, excludedContexts.get(context) ?? at)
    exclusionDegrees.set(context, Math.max(reliability, exclusionDegrees.get(context) ?? 0))
    return
  }
  const rival = [...contexts.keys()].find(
    (other) => other !== context && dimension !== undefined && ledger.release.contexts[other]!.dimension === dimension,
  )
  if (rival !== undefined) dispute(contexts.get(rival)!)
  else {
    contexts.set(context, contexts.get(context) ?? at)
    degrees.set(context, Math.max(reliability, degrees.get(context) ?? 0))
  }
}

/** A circumstance that was stated; one of the whole system is so whichever device it was noticed at. */
export function gatherStated(ledger: EvidenceLedger, finding: ContextFinding, at: number): void {
  const context = ledger.find(ledger.result.index.context, finding.context, at, 'context')
  const { state, reliability } = finding
  const device = ledger.release.contexts[context]!.isPerDevice === true ? finding.device : undefined
  if (!ledger.isPast(finding, at)) gatherContext(ledger, context, state === 'holds', { at, reliability, device })
}
