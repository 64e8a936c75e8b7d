import type { Client } from '@libsql/client'
import type { Answer, Api } from '../api.ts'
import type { WriterProcess } from '../writer-process.ts'

/** Through what a workload writes. */
export interface Ways {
  api: Api
  writer: WriterProcess
  /** As a shop of its own; undefined when its key could not be had. Each shop has its own quota. */
  shop: (name: string) => Promise<Api | undefined>
}
/** What a write was answered: kept; refused and so nothing changed; or no answer, so that either may be true. */
export type Outcome = 'acknowledged' | 'refused' | 'unanswered'

/** The version in which a thing is removed or was never there. */
export const ABSENT = 0

/**
 * One kind of writing that must survive every fault. A workload owns things; each is written by one client at a time, in
 * rising versions. To put another route under test, add its workload to `WORKLOADS` of ../workloads.ts.
 */
export interface Workload {
  name: string
  /** Whether a thing can be removed again. */
  canRemove: boolean
  /** Whether a version replaces the one before; otherwise each version is a thing of its own beside the others. */
  replaces: boolean
  write: (ways: Ways, thing: string, version: number) => Promise<Outcome>
  /** Every version of every thing that is stored, as often as it is stored; a half of one is the version `NaN`. */
  found: (ways: Ways, file: Client, things: readonly string[]) => Promise<{ thing: string; version: number }[]>
}

export const outcomeOf = (answer: Answer | undefined): Outcome => {
  if (answer === undefined || answer.body?.detail?.includes('not known')) return 'unanswered'
  return answer.status < 300 || answer.status === 404 ? 'acknowledged' : 'refused'
}
