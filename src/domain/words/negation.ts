import type { Grammar } from './language.ts'
import type { Match } from './match.ts'
import { NOT, type Term } from './terms.ts'

/** Words between a negator and what it denies: "never had a proper power cut". */
const REACH_FORWARD = 3
/** Words between what is denied and the negator: "the trouble light on it is not lit". */
const REACH_BACK = 1

/**
 * Whether a text denies what a match found: by a negator before it in the same clause ("no beeping"), within it ("the
 * battery is not low") or behind it with nothing but a state to follow ("the light is not lit"). A negator that belongs to
 * the match itself ("will not arm") denies nothing, nor does one that another verb takes ("will not stop beeping").
 *
 * @validity English word order; a comma, "and" or "but" ends the reach, so that rather too little is denied than too much
 * @source own-derivation
 */
export function isDenied({ at }: Pick<Match, 'at'>, terms: readonly Term[], { shields, states }: Grammar): boolean {
  const [first, last] = [at[0]!, at.at(-1)!]
  const own = new Set(at)
  const from = Math.max(0, first - 1 - REACH_FORWARD)
  return terms.slice(from, last + 2 + REACH_BACK).some(({ key, clause }, offset) => {
    const negator = from + offset
    if (key !== NOT || own.has(negator)) return false
    const next = terms[negator + 1]
    if (next && next.clause === clause && shields.has(next.key)) return false
    if (negator < first) return clause === terms[first]!.clause
    if (negator < last) return clause === terms[last]!.clause
    const isLast = !next || next.clause !== clause || states.has(next.key)
    return clause === terms[last]!.clause && isLast
  })
}
