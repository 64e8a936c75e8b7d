import type { Advice } from '../../domain/advice/advise.ts'
import type { NextCheck } from '../../domain/advice/search-state.ts'

/** Chooses the next question among those that may be put and tell something. */
export type Policy = (advice: Advice, chance: () => number) => NextCheck | undefined

const first = (list: NextCheck[]) => list[0]

/** Largest move that a result can make for the cause in front. */
function moveOfLeader({ causes, known }: Advice, { results }: NextCheck): number {
  const leader = causes[0]
  if (!leader) return 0
  const at = known.instance.keys.findIndex(({ cause, device }) => cause === leader.cause && device === leader.device)
  return Math.max(0, ...results.map(({ posterior }) => Math.abs(posterior[at]! - leader.probability)))
}

export const POLICIES: Record<string, Policy> = {
  engine: ({ searched }) => searched.checks[0],
  random: ({ searched: { checks } }, chance) => checks[Math.floor(chance() * checks.length)],
  'most-probable-first': (advice) =>
    first([...advice.searched.checks].sort((a, b) => moveOfLeader(advice, b) - moveOfLeader(advice, a))),
  'fixed-checklist': (advice) => {
    const { checks } = advice.known.instance.release
    return first(
      [...advice.searched.checks].sort(
        (a, b) => checks[a.check]!.minutes - checks[b.check]!.minutes || a.check - b.check,
      ),
    )
  },
}
