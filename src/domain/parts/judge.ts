import { packs } from './packs.ts'
import type { AttributeValue, Constraint, Item, Requirement, ValueRange } from './types.ts'
import { isRange, wording } from './words.ts'

export type Judgement = 'holds' | 'fails' | 'unknown'
export type Verdict = 'fits' | 'needs-confirmation' | 'near-miss' | 'rejected'

export interface Finding {
  attribute: string
  required: string
  /** The item's value; absent when it is unknown. */
  found?: AttributeValue | ValueRange
  origin: string
  isSafety: boolean
}
export interface Substitution {
  id: string
  /** 1 is as good as the original, 3 a makeshift. */
  rank: number
  open: readonly string[]
}
export interface Judged {
  item: Item
  verdict: Verdict
  matched: Finding[]
  failed: Finding[]
  unknown: Finding[]
  /** Soft preferences met, in the order of the requirement. */
  preferences: boolean[]
  /** Soft preferences that it is known not to meet: worse than those nobody knows of. */
  disliked: number
  /** The substitute that admits it where the requirement itself does not; conditions nobody has made sure of yet. */
  substitution?: Substitution
  packsNeeded?: number
  surplus?: number
  totalPriceMinor?: number
  isInStock?: boolean
}

/** Bounds are inclusive; a rounding error in the last place of a decimal never decides. */
const SLACK = 1e-9
const atLeast = (a: number, b: number) => a >= b - Math.abs(b) * SLACK
const atMost = (a: number, b: number) => a <= b + Math.abs(b) * SLACK

function compareNumber({ op, value, to }: Constraint, found: number): boolean {
  if (op === 'min') return atLeast(found, Number(value))
  if (op === 'max') return atMost(found, Number(value))
  if (op === 'range') return atLeast(found, Number(value)) && atMost(found, to ?? Number.POSITIVE_INFINITY)
  return false
}

/** A part that states one voltage in place of a range still bears a little more or less; beyond this it does not. Judgement. */
const NOMINAL_FRACTION = 0.2

/** A single stated value covers itself; near the range it is a question, far from it a failure. */
function coversWith(low: number, high: number, found: AttributeValue): Judgement {
  if (typeof found !== 'number') return found === 'none' ? 'fails' : 'unknown'
  if (found === low && low === high) return 'holds'
  const isNear = found >= low - Math.abs(low) * NOMINAL_FRACTION && found <= high + Math.abs(high) * NOMINAL_FRACTION
  return isNear ? 'unknown' : 'fails'
}

/** Whether one constraint holds for a value; numbers as numbers, words exactly. */
export function judgeValue(constraint: Constraint, found: AttributeValue | ValueRange | undefined): Judgement {
  if (found === undefined || constraint.op === 'ask') return 'unknown'
  const { op, value, to } = constraint
  const decide = (isHeld: boolean): Judgement => (isHeld ? 'holds' : 'fails')
  if (isRange(found)) {
    if (op !== 'covers') return 'unknown'
    return decide(atMost(found.min, Number(value)) && atLeast(found.max, to ?? Number(value)))
  }
  if (op === 'eq' || op === 'in') {
    const wanted = Array.isArray(value) ? value : [value]
    return decide(
      wanted.some((one) =>
        typeof one === 'number' && typeof found === 'number'
          ? atLeast(found, one) && atMost(found, one)
          : one === found,
      ),
    )
  }
  if (op === 'covers') return coversWith(Number(value), to ?? Number(value), found)
  return typeof found === 'number' ? decide(compareNumber(constraint, found)) : 'fails'
}

/** A constraint beside the item's value. */
function pair(constraint: Constraint, found: AttributeValue | ValueRange | undefined): Finding {
  const { attribute, origin, isSafety } = constraint
  return { attribute, required: wording(constraint), ...(found === undefined ? {} : { found }), origin, isSafety }
}

/** An item's value of its own; a name such as "constructor" is no attribute unless the item states it. */
function statedValue(item: Item, attribute: string): AttributeValue | ValueRange | undefined {
  if (attribute === 'partClass') return item.partClass
  return Object.hasOwn(item.attributes, attribute) ? item.attributes[attribute] : undefined
}

function verdictOf(failed: readonly Finding[], unknown: readonly Finding[]): Verdict {
  if (failed.some(({ isSafety }) => isSafety) || failed.length > 1) return 'rejected'
  if (failed.length === 1) return 'near-miss'
  return unknown.length > 0 ? 'needs-confirmation' : 'fits'
}

/**
 * Judges one item: all hard constraints true is a fit; none false but one unknown needs confirmation; exactly one false
 * that is no matter of safety is a near miss; everything else is rejected. Unknown is never a match, and
 * what is beyond a bound that is only presumed is unknown.
 */
export function judgeItem(requirement: Requirement, item: Item): Judged {
  const ofClass: Constraint = {
    attribute: 'partClass',
    op: 'eq',
    value: requirement.partClass,
    kind: 'hard',
    isSafety: true,
    origin: 'the kind of part',
  }
  const matched: Finding[] = []
  const failed: Finding[] = []
  const unknown: Finding[] = []
  const preferences: boolean[] = []
  let disliked = 0
  for (const constraint of [ofClass, ...requirement.constraints]) {
    const found = statedValue(item, constraint.attribute)
    const judgement = judgeValue(constraint, found)
    if (constraint.kind === 'soft') {
      preferences.push(judgement === 'holds')
      if (judgement === 'fails') disliked++
    } else if (judgement === 'holds') matched.push(pair(constraint, found))
    else (judgement === 'fails' && constraint.kind === 'hard' ? failed : unknown).push(pair(constraint, found))
  }
  return {
    item,
    verdict: verdictOf(failed, unknown),
    matched,
    failed,
    unknown,
    preferences,
    disliked,
    ...packs(item, requirement.quantity),
  }
}
