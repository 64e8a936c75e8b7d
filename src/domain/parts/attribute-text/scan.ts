import { anyOf, opens } from './any-of.ts'
import { CODE_RULES } from './code-rules.ts'
import { FACT_RULES } from './fact-rules.ts'
import { measuresRule, QUANTITY_START, quantityRule } from './quantity-rules.ts'
import type { Placed, Rule } from './tokens.ts'

/** In this order where two take the same length: a name comes before an amount, an amount before a loose letter. */
const GROUPS = [
  FACT_RULES,
  CODE_RULES,
  [
    { pattern: QUANTITY_START, read: quantityRule },
    { pattern: /[.\d]/y, read: measuresRule },
  ],
].map((rules) => ({ rules, gate: anyOf(rules.map(({ pattern }) => pattern)) }))

/** Nothing begins with another sign than these. */
const HEAD = /[\p{L}\p{N}.+\u00b1]/uy

/** A run of letters and figures; joined by a hyphen or a point where it is the number of a model. */
const WORD = /[\p{L}\p{N}\p{M}]+/uy
const JOINED = /[-_.][\p{L}\p{N}]+/uy

function wordEnd(text: string, at: number): number | undefined {
  WORD.lastIndex = at
  let found = WORD.exec(text)
  if (!found) return undefined
  let end = at + found[0].length
  const isModel = /\p{L}/u.test(found[0]) && /\p{N}/u.test(found[0])
  while (isModel && found) {
    JOINED.lastIndex = end
    found = JOINED.exec(text)
    end += found?.[0].length ?? 0
  }
  return end
}

function longest(text: string, at: number, decimalMark?: '.' | ',') {
  let best: ReturnType<Rule>
  if (!opens(HEAD, text, at)) return undefined
  for (const { rules, gate } of GROUPS) {
    if (!opens(gate, text, at)) continue
    for (const { read } of rules) {
      const found = read(text, at, decimalMark)
      if (found && (best === undefined || found.end > best.end)) best = found
    }
  }
  return best
}

export interface Scanned {
  tokens: Placed[]
  words: { text: string; start: number }[]
}

/**
 * Tokens of a normalised text from left to right, the longest at each place; what no rule takes is a word.
 * Each place is looked at once and each rule looks a bounded way ahead, so that the time grows with the length only.
 */
export function scan(text: string, decimalMark?: '.' | ','): Scanned {
  const tokens: Placed[] = []
  const words: Scanned['words'] = []
  let at = 0
  while (at < text.length) {
    const found = longest(text, at, decimalMark)
    if (found) {
      tokens.push({ token: found.token, start: at, end: found.end })
      at = found.end
      continue
    }
    const end = wordEnd(text, at)
    if (end !== undefined) words.push({ text: text.slice(at, end), start: at })
    at = end ?? at + 1
  }
  return { tokens, words }
}
