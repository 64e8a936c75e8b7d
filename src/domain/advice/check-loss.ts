import { causesOf } from './candidates.ts'
import type { NextCheck, SearchState } from './search-state.ts'
import { LOSS } from './severity.ts'

/** The same for every check. */
const ALIKE = () => 0
/** Causes less likely than this are not what a question is about. Judgement. */
const NOTABLE_PROBABILITY = 0.02

/**
 * How grave the loss is that a check speaks of: the place, gravest first, of the worst of the conditions that stand and that
 * one of its notable causes may have brought about. All are alike where what stands is of one kind of loss.
 */
export function lossesIn(state: SearchState): (next: NextCheck) => number {
  const { instance, present } = state.known
  const { conditions } = instance.release
  const placeOf = ({ condition }: (typeof present)[number]) => LOSS.indexOf(conditions[condition]!.severity)
  if (new Set(present.map(placeOf)).size < 2) return ALIKE
  const worst = new Map<number, number>()
  for (const one of present)
    for (const { cause } of instance.effects[one.effect]!.links)
      if (state.posterior[cause]! >= NOTABLE_PROBABILITY)
        worst.set(cause, Math.min(placeOf(one), worst.get(cause) ?? LOSS.length))
  const known = new Map<string, number>()
  return ({ check, device, before }) => {
    const asked = before ?? check
    const key = `${asked} ${device ?? ''}`
    const place =
      known.get(key) ??
      causesOf(state, asked, device).reduce(
        (least, cause) => Math.min(least, worst.get(cause) ?? LOSS.length),
        LOSS.length,
      )
    known.set(key, place)
    return place
  }
}
