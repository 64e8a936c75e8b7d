import type { EvidenceLedger } from './evidence-ledger.ts'

/** Findings that contradict each other count for neither side. */
export function dropContradictions({ result, disputed }: EvidenceLedger): void {
  result.evidence = result.evidence.filter((item) => !item.findings.some((at) => disputed.has(at)))
  for (const { contexts, excludedContexts } of [result, ...result.onDevice.values()])
    for (const stated of [contexts, excludedContexts])
      for (const [context, at] of stated) if (disputed.has(at)) stated.delete(context)
  result.present = result.present.filter((known) => result.evidence.some((item) => item.effect === known.effect))
}
