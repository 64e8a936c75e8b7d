import type { Advice } from '../../domain/advice/advise.ts'
import type { NextCheck } from '../../domain/advice/search-state.ts'

/** Chooses the next question among those that may be put and tell something. */
export type Policy = (advice: Advice, chance: () => number) => NextCheck | undefined

const first = (list: NextCheck[]) => list[0]

/** What may be put as things are: a written call does not tell whether its caller could lift what stands in the way. */
const asThingsAre = ({ searched }: Advice) => searched.checks.filter(({ lift }) => lift === undefined)

/** Largest move that a result can make for the cause in front. */
function moveOfLeader({ causes, known }: Advice, { results }: NextCheck): number {
  const leader = causes[0]
  if (!leader) return 0
  const at = known.instance.keys.findIndex(({ cause, device }) => cause === leader.cause && device === leader.device)
  return Math.max(0, ...results.map(({ posterior }) => Math.abs(posterior[at]! - leader.probability)))
}

export const POLICIES: Record<string, Policy> = {
  engine: (advice) => first(asThingsAre(advice)),
  random: (advice, chance) => {
    const checks = asThingsAre(advice)
    return checks[Math.floor(chance() * checks.length)]
  },
  'most-probable-first': (advice) =>
    first(asThingsAre(advice).sort((a, b) => moveOfLeader(advice, b) - moveOfLeader(advice, a))),
  'fixed-checklist': (advice) => {
    const { checks } = advice.known.instance.release
    return first(
      asThingsAre(advice).sort((a, b) => checks[a.check]!.minutes - checks[b.check]!.minutes || a.check - b.check),
    )
  },
}
