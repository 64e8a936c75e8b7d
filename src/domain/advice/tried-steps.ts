import { infer, type Prepared } from '../diagnosis/prepare.ts'
import { reweighOdds } from '../diagnosis/reweigh.ts'
import { wasDoneAt } from './attempts.ts'
import type { CircumstanceStep } from './circumstance-steps.ts'
import type { Gathered } from './gathered.ts'
import type { Remedied, RemedyDone } from './remedied.ts'

/**
 * Account of the remedies that were tried, one step a remedy, for one cause after another: each is entered after the
 * circumstances and the remedies before it. A cause that it does not remove is not moved by it, and not named.
 *
 * @param prepared - everything known, worked through
 * @param log - log-odds in decibans
 */
export function triedSteps(
  { instance, evidence }: Gathered,
  remedied: Remedied,
  prepared: Prepared,
  log: (probability: number) => number,
): (cause: number) => CircumstanceStep[] {
  const { posterior } = prepared.inference
  const kept = new Map<RemedyDone, ArrayLike<number>>()
  const withoutOne = (remedy: RemedyDone): ArrayLike<number> => {
    const changes = remedied.changesWithout(remedy)
    return changes === undefined
      ? infer(remedied.without(remedy), evidence).posterior
      : reweighOdds(prepared, changes).posterior
  }
  const without = (remedy: RemedyDone) => {
    const found = kept.get(remedy) ?? withoutOne(remedy)
    kept.set(remedy, found)
    return found
  }
  return (cause) =>
    remedied.done.flatMap((remedy, at): CircumstanceStep[] => {
      if ((remedy.left.get(cause) ?? 1) === 1) return []
      const attempts = remedy.attempts.filter((one) => wasDoneAt(instance, one, instance.keys[cause]!))
      return [
        {
          findings: attempts.flatMap(({ findings }) => findings).sort((a, b) => a - b),
          decibans: log(remedied.priorAfter(at + 1, cause)) - log(remedied.priorAfter(at, cause)),
          ifLeftOut: log(posterior[cause]!) - log(without(remedy)[cause]!),
        },
      ]
    })
}
