import { withAge } from '../domain/parts/age.ts'
import { type MatchResult, matchParts } from '../domain/parts/match.ts'
import { nearestFirst } from '../domain/parts/relax.ts'
import type { Constraint, Item, Requirement } from '../domain/parts/types.ts'
import { wording as wordDemand } from '../domain/parts/words.ts'
import type { PartClass } from '../ontology/shape.ts'
import { basisOf } from './basis.ts'
import { itemsAsPart, kitsFor, wordKit } from './part-kits.ts'
import { type DiagnosisContext, wordOutlook } from './part-outlook.ts'
import { wordSale } from './part-sale.ts'
import { substitutesOf } from './part-spec.ts'
import type { Wording } from './texts.ts'
import { wordContradictions } from './word-contradictions.ts'
import { wordJudged } from './word-judged.ts'

/** Attributes whose constraint is a matter of safety whatever a caller says: the part class decides. */
export function withSafety(partClass: PartClass, constraints: readonly Constraint[]): Constraint[] {
  const safety = new Set(partClass.attributes.filter(({ role }) => role === 'safety').map(({ name }) => name))
  return constraints.map((constraint) =>
    safety.has(constraint.attribute) ? { ...constraint, kind: 'hard', isSafety: true } : constraint,
  )
}

export interface MatchInput {
  wording: Wording
  requirement: Requirement
  items: readonly Item[]
  searched: 'items' | 'catalogue'
  limit: number
  /** Other parts bought with it, each with its own demands. */
  alongside: readonly Requirement[]
  diagnosis?: DiagnosisContext
  /** Day of the sale as YYYY-MM-DD. */
  on?: string
  region?: string
}

/** What no demand speaks of yet, with how to find it on the old part. */
function askFor(wording: Wording, partClass: PartClass, { constraints, quantity }: Requirement) {
  const stated = new Set(constraints.filter(({ op }) => op !== 'ask').map(({ attribute }) => attribute))
  return partClass.attributes
    .filter(({ name, role, fit }) => {
      const isCounted = fit?.rule === 'count' && quantity > 1
      return role !== 'preference' && !stated.has(name) && !isCounted
    })
    .map(({ name, label, find }) => ({ attribute: name, label: wording.say(label), find: wording.say(find) }))
}

/** What to ask a supplier for when nothing in the shop fits. */
function toOrder(wording: Wording, partClass: PartClass, { constraints }: Requirement) {
  return constraints
    .filter(({ kind, op }) => kind !== 'soft' && op !== 'ask')
    .map((constraint) => {
      const spec = partClass.attributes.find(({ name }) => name === constraint.attribute)
      return {
        attribute: constraint.attribute,
        label: spec ? wording.say(spec.label) : constraint.attribute,
        required: wordDemand(constraint),
        ...(spec?.unit === undefined ? {} : { unit: spec.unit }),
        isSafety: constraint.isSafety,
      }
    })
}

function countsOf(result: MatchResult) {
  return {
    fits: result.fits.length,
    confirmFirst: result.confirmFirst.length,
    nearMisses: result.nearMisses.length,
    rejected: result.rejected.length,
  }
}

/** Matches items and says for each why; causes still open above the part come first. */
export function matchAndWord(input: MatchInput) {
  const { wording, requirement, searched, limit, alongside, diagnosis, on, region } = input
  const partClass = wording.concept<PartClass>(requirement.partClass)
  const items = input.items.map((item) => withAge(item, on))
  const asPart = itemsAsPart(partClass, requirement, alongside, items)
  const result = matchParts(requirement, asPart, substitutesOf(partClass))
  const context = { wording, partClass, result, ...(on === undefined ? {} : { on }) }
  const word = (list: MatchResult['fits']) => list.slice(0, limit).map((judged) => wordJudged(context, judged))
  const { kits, lacking } = kitsFor({ partClass, requirement, alongside, items, result })
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    ...(diagnosis ? { outlook: wordOutlook(wording, partClass.id, diagnosis) } : {}),
    partClass: partClass.id,
    searched,
    contradictions: wordContradictions(wording, partClass, result.contradictions),
    isNoMatch: result.isNoMatch,
    fits: word(result.fits),
    confirmFirst: word(result.confirmFirst),
    nearMisses: word(nearestFirst(result.nearMisses)),
    kits: kits.slice(0, limit).map((kit) => wordKit(wording, partClass, kit)),
    lacking,
    rejectedForSafety: word(result.rejected.filter(({ failed }) => failed.some(({ isSafety }) => isSafety))),
    counts: countsOf(result),
    rejections: result.rejections,
    minimalRelaxations: result.minimalRelaxations,
    toOrder: result.isNoMatch ? toOrder(wording, partClass, requirement) : [],
    askFor: askFor(wording, partClass, requirement),
    sale: wordSale(wording, partClass, region),
  }
}
