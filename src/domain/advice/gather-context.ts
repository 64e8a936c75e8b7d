import type { EvidenceLedger } from './evidence-ledger.ts'

/** A circumstance that holds or does not; its opposite, or another of its dimension, contradicts it. */
export function gatherContext(
  ledger: EvidenceLedger,
  context: number,
  holds: boolean,
  at: number,
  reliability = 1,
): void {
  const { contexts, excludedContexts, degrees } = ledger.result
  const { dimension, id } = ledger.release.contexts[context]!
  const opposite = (holds ? excludedContexts : contexts).get(context)
  if (opposite !== undefined) ledger.contradict(opposite, at, id)
  if (!holds) {
    if (!excludedContexts.has(context)) excludedContexts.set(context, at)
    return
  }
  const rival = [...contexts.keys()].find(
    (other) => other !== context && dimension !== undefined && ledger.release.contexts[other]!.dimension === dimension,
  )
  if (rival !== undefined) ledger.contradict(contexts.get(rival)!, at, id)
  else {
    contexts.set(context, contexts.get(context) ?? at)
    degrees.set(context, Math.max(reliability, degrees.get(context) ?? 0))
  }
}
