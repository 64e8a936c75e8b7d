import type { Judged } from '../domain/parts/judge.ts'
import { matchParts, type NearMiss } from '../domain/parts/match.ts'
import type { Constraint, Item, Requirement } from '../domain/parts/types.ts'
import type { PartClass } from '../ontology/shape.ts'
import { basisOf } from './basis.ts'
import type { Wording } from './texts.ts'

/** Attributes whose constraint is a matter of safety whatever a caller says: the part class decides. */
export function withSafety(partClass: PartClass, constraints: readonly Constraint[]): Constraint[] {
  const safety = new Set(partClass.attributes.filter(({ role }) => role === 'safety').map(({ name }) => name))
  return constraints.map((constraint) =>
    safety.has(constraint.attribute) ? { ...constraint, kind: 'hard', isSafety: true } : constraint,
  )
}

function wordJudged(partClass: PartClass, wording: Wording, judged: Judged & Partial<NearMiss>) {
  const { item, verdict: _verdict, preferences: _preferences, totalPriceMinor, ...rest } = judged
  const questions = judged.unknown.flatMap(({ attribute }) => {
    const known = partClass.attributes.find(({ name }) => name === attribute)
    return known ? [wording.say(known.find)] : [`Ask for ${attribute}.`]
  })
  return {
    sku: item.sku,
    title: item.title,
    ...rest,
    ...(totalPriceMinor === undefined || item.currency === undefined
      ? {}
      : { price: { value: totalPriceMinor, unit: item.currency } }),
    ...(questions.length > 0 ? { confirm: questions } : {}),
  }
}

export interface MatchInput {
  wording: Wording
  requirement: Requirement
  items: readonly Item[]
  searched: 'items' | 'catalogue'
  limit: number
}

/** Matches items and says for each why; what the requirement leaves open is asked for. */
export function matchAndWord({ wording, requirement, items, searched, limit }: MatchInput) {
  const partClass = wording.concept<PartClass>(requirement.partClass)
  const result = matchParts(requirement, items)
  const word = (list: readonly Judged[]) => list.slice(0, limit).map((judged) => wordJudged(partClass, wording, judged))
  const constrained = new Set(requirement.constraints.map(({ attribute }) => attribute))
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    partClass: partClass.id,
    searched,
    isNoMatch: result.isNoMatch,
    fits: word(result.fits),
    confirmFirst: word(result.confirmFirst),
    nearMisses: word(result.nearMisses),
    rejectedForSafety: word(result.rejected.filter(({ failed }) => failed.some(({ isSafety }) => isSafety))),
    counts: {
      fits: result.fits.length,
      confirmFirst: result.confirmFirst.length,
      nearMisses: result.nearMisses.length,
      rejected: result.rejected.length,
    },
    minimalRelaxations: result.minimalRelaxations,
    askFor: partClass.attributes
      .filter(({ name, role }) => role !== 'preference' && !constrained.has(name))
      .map(({ name, label, find }) => ({
        attribute: name,
        label: wording.say(label),
        find: wording.say(find),
      })),
  }
}
