import type { Judged } from '../domain/parts/judge.ts'
import { companionRequirement, completingKits, type Kit, kitOf } from '../domain/parts/kits.ts'
import { type MatchResult, matchParts } from '../domain/parts/match.ts'
import { type Substitute, substituteRequirements } from '../domain/parts/substitutes.ts'
import type { Item, Requirement } from '../domain/parts/types.ts'
import type { PartClass } from '../ontology/shape.ts'
import { substitutesOf } from './part-spec.ts'
import type { Wording } from './texts.ts'

/** Requirements of pieces that a near miss may need. */
function companions(requirement: Requirement, substitutes: readonly Substitute[]): Requirement[] {
  if (!requirement.adaptersAllowed) return []
  return substitutes.flatMap((substitute) => companionRequirement(substitute, requirement.quantity) ?? [])
}

/** Everything that has to be looked for in a catalogue to answer one requirement, itself first. */
export function searchesFor(
  partClass: PartClass,
  requirement: Requirement,
  alongside: readonly Requirement[],
): Requirement[] {
  const substitutes = substitutesOf(partClass)
  const others = substituteRequirements(requirement, substitutes).map((other) => other.requirement)
  return [requirement, ...others, ...companions(requirement, substitutes), ...alongside]
}

/** Items that are judged as the part itself: not those that only come along. */
export function itemsAsPart(
  partClass: PartClass,
  requirement: Requirement,
  alongside: readonly Requirement[],
  items: readonly Item[],
): Item[] {
  const along = new Set(
    [...companions(requirement, substitutesOf(partClass)), ...alongside].map((one) => one.partClass),
  )
  along.delete(requirement.partClass)
  return items.filter((item) => !along.has(item.partClass))
}

export interface KitInput {
  partClass: PartClass
  requirement: Requirement
  alongside: readonly Requirement[]
  items: readonly Item[]
  result: MatchResult
}
export interface Kits {
  kits: Kit[]
  /** Kinds of part asked for alongside of which nothing fits. */
  lacking: string[]
}

/** Kits: near misses with the piece that mends them, and the part with everything asked for alongside. */
export function kitsFor({ partClass, requirement, alongside, items, result }: KitInput): Kits {
  const completed = completingKits(result, requirement, items, substitutesOf(partClass))
  if (alongside.length === 0) return { kits: completed, lacking: [] }
  const slots = alongside.map((slot) => ({ slot, best: matchParts(slot, items).fits[0] }))
  const lacking = slots.filter(({ best }) => best === undefined).map(({ slot }) => slot.partClass)
  const along = slots.flatMap(({ best }) => best ?? [])
  if (lacking.length > 0) return { kits: completed, lacking }
  const [exact] = result.fits
  const mains: { lines: Judged[]; substitute?: string }[] = [...(exact ? [{ lines: [exact] }] : []), ...completed]
  return { kits: mains.map(({ lines, substitute }) => kitOf([...lines, ...along], substitute)), lacking }
}

/** A kit in words: its lines, what makes up for what, and the sum where it is known. */
export function wordKit(wording: Wording, partClass: PartClass, kit: Kit) {
  const { lines, substitute, totalPriceMinor, currency, isInStock } = kit
  const way = partClass.substitutes?.find(({ id }) => id === substitute)
  const [failed] = lines[0]!.failed
  return {
    lines: lines.map(({ item, packsNeeded, surplus, isInStock: isLineInStock, totalPriceMinor: price }) => ({
      sku: item.sku,
      title: item.title,
      partClass: item.partClass,
      ...(packsNeeded === undefined ? {} : { packsNeeded }),
      ...(surplus === undefined ? {} : { surplus }),
      ...(price === undefined || item.currency === undefined ? {} : { price: { value: price, unit: item.currency } }),
      ...(isLineInStock === undefined ? {} : { isInStock: isLineInStock }),
    })),
    ...(way && failed
      ? {
          completes: {
            attribute: failed.attribute,
            required: failed.required,
            found: String(failed.found),
            say: wording.say(way.say),
            basis: way.source ?? way.basis,
          },
        }
      : {}),
    ...(totalPriceMinor === undefined ? {} : { price: { value: totalPriceMinor, unit: currency! } }),
    ...(isInStock === undefined ? {} : { isInStock }),
  }
}
