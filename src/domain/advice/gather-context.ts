import type { EvidenceLedger } from './evidence-ledger.ts'

/** A circumstance that holds or does not; its opposite, or another of its dimension, contradicts it. */
export function gatherContext(
  ledger: EvidenceLedger,
  context: number,
  holds: boolean,
  at: number,
  reliability = 1,
): void {
  const { contexts, excludedContexts, degrees, exclusionDegrees } = ledger.result
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
