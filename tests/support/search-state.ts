import type { CompiledRelease } from '../../src/domain/advice/compiled.ts'
import { gather } from '../../src/domain/advice/gather.ts'
import { circumstancesOf } from '../../src/domain/advice/gathered.ts'
import { networkUnder, priorsOf } from '../../src/domain/advice/instantiate.ts'
import { relevantCauses, repairedAlike, type SearchState } from '../../src/domain/advice/search-state.ts'
import { prepare } from '../../src/domain/diagnosis/prepare.ts'
import type { Finding } from '../../src/domain/findings/finding.ts'

/** What a search for checks, or a plan, starts from after some findings; a technician with a meter asks. */
export function searchStateOf(release: CompiledRelease, findings: readonly Finding[]): SearchState {
  const known = gather(release, findings)
  const network = networkUnder(known.instance, priorsOf(known.instance, undefined), circumstancesOf(known))
  const prepared = prepare(network, known.evidence)
  const relevant = relevantCauses(known)
  const { posterior } = prepared.inference
  const limits = { who: 'technician', tools: ['multimeter'] } as const
  return { known, prepared, posterior, relevant, groups: repairedAlike(known, relevant), limits }
}
