import type { Judged } from './judge.ts'
import type { AttributeValue, Constraint, Requirement, ValueRange } from './types.ts'
import { wording, wordValue } from './words.ts'

export interface NearMiss extends Judged {
  /** What would have to be given up for it to fit, by how much, and why that may be dangerous. */
  relaxation: { attribute: string; required: string; found: string; beyondBy?: number; danger: string }
  /** A known way to make it fit, where the requirement allows one. */
  fix?: string
}

/** Why giving up a constraint may hurt. Common practice, no source. */
const DANGER = new Map([
  ['capacityAh', 'Too small runs out early; too large may never be charged fully by this charger and can overheat it.'],
  [
    'terminal',
    'A loose or forced connector heats up. A wide socket on a narrow tab must never be used without an adapter.',
  ],
  ['lengthMm', 'A part that is forced into the case can be crushed, or the cover stays open.'],
  ['widthMm', 'A part that is forced into the case can be crushed, or the cover stays open.'],
  ['heightMm', 'Its terminals can touch the cover: short circuit and fire.'],
  ['resistanceOhm', 'With another value the panel keeps showing the trouble or misses a real one.'],
  ['powerW', 'A resistor that is too weak gets hot enough to char its board.'],
  ['areaMm2', 'A thinner wire heats up and loses the voltage that the device at its end needs.'],
  ['sizeName', 'A cell of another size has no sure contact: it can fall out, be crushed, or join the contacts.'],
  ['relayForm', 'A contact of the other form never reports an alarm, or always does.'],
  ['contactForm', 'A contact of the other form never reports an opening, or always does.'],
  ['gapMm', 'A contact with a smaller gap opens by itself when the door moves.'],
  ['voltageV', 'A fuse for a lower voltage may not break the arc: it can burn on.'],
  ['currentA', 'A supply that is too weak overheats.'],
  ['apparentPowerVA', 'A transformer that is too weak overheats.'],
])
const UNSTATED_DANGER = 'Ask whoever is responsible for the system before giving this up.'

/** How far a number lies outside what is demanded, in the attribute's unit; undefined where there is no distance. */
function beyondBy({ op, value, to }: Constraint, found: AttributeValue | ValueRange | undefined): number | undefined {
  if (typeof found !== 'number' || typeof value !== 'number') return undefined
  const [low, high] = {
    eq: [value, value],
    min: [value, Number.POSITIVE_INFINITY],
    max: [Number.NEGATIVE_INFINITY, value],
    range: [value, to ?? Number.POSITIVE_INFINITY],
  }[op as 'eq'] ?? [found, found]
  // Twelve figures: the rest of a difference of decimals is rounding.
  return Number((found < low! ? low! - found : found - high!).toPrecision(12))
}

const TABS: readonly unknown[] = ['F1', 'F2']
const THREADS: readonly unknown[] = ['M5', 'M6', 'bolt-and-nut']

/** How leads get to terminals of another kind, where there is a known way. Common practice, no source. */
function terminalFix({ value }: Constraint, found: AttributeValue | ValueRange | undefined): string | undefined {
  const wanted = Array.isArray(value) ? value : [value]
  const isAny = (kind: readonly unknown[]) => wanted.some((one) => kind.includes(one))
  if (isAny(TABS) && TABS.includes(found)) return 'An insulated tab adapter, or a lead with the right socket.'
  const isMixed = (isAny(TABS) && THREADS.includes(found)) || (isAny(THREADS) && TABS.includes(found))
  return isMixed ? 'An insulated lead kit between threaded posts and tabs, made for this battery.' : undefined
}

/** The one demand that a near miss fails, with the distance, the danger and a way out where one is known. */
export function nearMiss(judged: Judged, { adaptersAllowed, constraints }: Requirement): NearMiss {
  const { attribute, required, found } = judged.failed[0]!
  const failing = constraints.find((one) => one.attribute === attribute && wording(one) === required)
  const distance = failing && beyondBy(failing, found)
  const fix = failing && adaptersAllowed && attribute === 'terminal' ? terminalFix(failing, found) : undefined
  return {
    ...judged,
    relaxation: {
      attribute,
      required,
      found: wordValue(found),
      ...(distance === undefined ? {} : { beyondBy: distance }),
      danger: DANGER.get(attribute) ?? UNSTATED_DANGER,
    },
    ...(fix === undefined ? {} : { fix }),
  }
}

/** How far off a near miss is, from 0 to 1; 1 where a word is another or nothing can be measured. */
function remoteness({ failed, relaxation: { beyondBy: distance } }: NearMiss): number {
  const found = failed[0]?.found
  return distance === undefined || typeof found !== 'number' || distance === 0
    ? 1
    : distance / (distance + Math.abs(found))
}

/**
 * Near misses in the order in which they help: those that something known mends, then the nearest; alike ones as they were.
 *
 * @param nearMisses - in the order of the ranking
 * @source judgement: a block of a fifth of the capacity is no help beside one that only lacks an adapter
 */
export function nearestFirst(nearMisses: readonly NearMiss[]): NearMiss[] {
  return [...nearMisses].sort(
    (a, b) => Number(a.fix === undefined) - Number(b.fix === undefined) || remoteness(a) - remoteness(b),
  )
}

const isSubset = (a: readonly string[], b: readonly string[]) => a.every((attribute) => b.includes(attribute))

/** Sets of failed attributes without a safety matter in them, of which no smaller one admits an item. */
export function minimalRelaxations(judged: readonly Judged[]): string[][] {
  const sets = judged
    .filter(({ failed }) => failed.length > 0 && !failed.some(({ isSafety }) => isSafety))
    .map(({ failed }) => [...new Set(failed.map(({ attribute }) => attribute))].sort())
  const distinct = [...new Map(sets.map((set) => [set.join(' '), set])).values()]
  return distinct
    .filter((set) => !distinct.some((other) => other.length < set.length && isSubset(other, set)))
    .sort((a, b) => a.length - b.length || (a.join() < b.join() ? -1 : 1))
}
