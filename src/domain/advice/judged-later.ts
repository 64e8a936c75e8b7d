import { BATTERY, SUPPLY } from './families-in-turn.ts'
import type { Gathered } from './gathered.ts'

type Standing = Gathered['present'][number]

/** A fault of the supply is taken as found from here on. Judgement. */
const FOUND = 0.9

/** Whether a cause takes the supply away for long: it stands behind an item of the supply, and flat batteries follow from it. */
function takesSupplyAway({ instance, present }: Gathered, index: number): boolean {
  const { release, keys, effects } = instance
  const { family, rootOf } = release.causes[keys[index]!.cause]!
  if (family !== SUPPLY || !rootOf.some((leaf) => release.causes[leaf]!.family === BATTERY)) return false
  return present.some(
    ({ condition, effect }) =>
      release.conditions[condition]!.family === SUPPLY && effects[effect]!.links.some(({ cause }) => cause === index),
  )
}

/**
 * Battery items that say little while the supply is known to be away: an empty battery looks like a bad one, so it is judged
 * once the supply has been right for a day or two. Never one that is itself a danger. Common practice, no source.
 */
export function judgedLater(known: Gathered, posterior: ArrayLike<number>): Standing[] {
  const { conditions } = known.instance.release
  const batteries = known.present.filter(({ condition }) => {
    const { family, severity } = conditions[condition]!
    return family === BATTERY && severity !== 'life-safety'
  })
  if (batteries.length === 0) return []
  for (let index = 0; index < posterior.length; index++)
    if (posterior[index]! >= FOUND && takesSupplyAway(known, index)) return batteries
  return []
}

/** Conditions that stand and are judged now. */
export function judgedNow(known: Gathered, posterior: ArrayLike<number>): Standing[] {
  const later = judgedLater(known, posterior)
  return later.length === 0 ? known.present : known.present.filter((one) => !later.includes(one))
}
