import type { Gathered } from './gathered.ts'
import { judgedNow } from './judged-later.ts'

export interface Explained {
  known: Gathered
  posterior: number[]
  unexplained: readonly { probability: number }[]
}

/** For each condition that stands: probability that nothing modelled, or "something else here", brings it about; 0 for one that is judged later. */
export function unexplainedShares({ known, posterior, unexplained }: Explained): number[] {
  const { keys, release, effects } = known.instance
  const now = judgedNow(known, posterior)
  return known.present.map((one, position) => {
    if (!now.includes(one)) return 0
    const others = effects[one.effect]!.links.filter(({ cause }) => release.causes[keys[cause]!.cause]!.isOther)
    return others.reduce((sum, { cause }) => sum + posterior[cause]!, unexplained[position]!.probability)
  })
}

/** The same for the condition that is explained worst. */
export function explainedByNothing(explained: Explained): number {
  return Math.max(0, ...unexplainedShares(explained))
}
