import type { Judged } from '../domain/parts/judge.ts'
import type { MatchResult, NearMiss } from '../domain/parts/match.ts'
import type { PartClass } from '../ontology/shape.ts'
import { wordItemWarnings } from './part-sale.ts'
import type { Wording } from './texts.ts'

export interface JudgedContext {
  wording: Wording
  partClass: PartClass
  result: MatchResult
  /** Day of the sale. */
  on?: string
}

/** How a successor stands by its own judgement: that it takes another's place at the maker's says nothing of this system. */
function wordSuccessor({ result }: JudgedContext, { successorSku, isDiscontinued }: Judged['item']) {
  if (successorSku === undefined || isDiscontinued !== true) return {}
  const verdicts = [
    ['fits', result.fits],
    ['confirm-first', result.confirmFirst],
    ['near-miss', result.nearMisses],
    ['rejected', result.rejected],
  ] as const
  const found = verdicts.find(([, list]) => list.some(({ item }) => item.sku === successorSku))
  return { successor: { sku: successorSku, verdict: found?.[0] ?? ('not-looked-at' as const) } }
}

function wordSubstitution({ wording, partClass }: JudgedContext, { substitution }: Judged) {
  const substitute = partClass.substitutes?.find(({ id }) => id === substitution?.id)
  if (!substitution || !substitute) return {}
  const conditions = substitute.conditions.map(({ id, ask }) => ({
    condition: id,
    ask: wording.say(ask),
    isConfirmed: !substitution.open.includes(id),
  }))
  const { say, rank, basis, source } = substitute
  return {
    substitution: { substitute: substitution.id, say: wording.say(say), rank, conditions, basis: source ?? basis },
  }
}

/** What to ask or read before an item may be called a fit. */
function questionsOf({ wording, partClass }: JudgedContext, { unknown, substitution }: Judged): string[] {
  const asked = unknown.map(({ attribute }) => {
    const known = partClass.attributes.find(({ name }) => name === attribute)
    return known ? wording.say(known.find) : `Ask for ${attribute}.`
  })
  const conditions = partClass.substitutes?.find(({ id }) => id === substitution?.id)?.conditions ?? []
  const open = conditions.filter(({ id }) => substitution?.open.includes(id))
  return [...new Set([...asked, ...open.map(({ ask }) => wording.say(ask))])]
}

/** An item with its verdict's reasons, warnings and questions in words. */
export function wordJudged(context: JudgedContext, judged: Judged & Partial<NearMiss>) {
  const { item, matched, failed, unknown, packsNeeded, surplus, isInStock, totalPriceMinor, relaxation, fix } = judged
  const questions = questionsOf(context, judged)
  const warnings = wordItemWarnings(context.partClass, item, context.on)
  return {
    sku: item.sku,
    title: item.title,
    matched,
    failed,
    unknown,
    ...(packsNeeded === undefined ? {} : { packsNeeded }),
    ...(surplus === undefined ? {} : { surplus }),
    ...(isInStock === undefined ? {} : { isInStock }),
    ...(totalPriceMinor === undefined || item.currency === undefined
      ? {}
      : { price: { value: totalPriceMinor, unit: item.currency } }),
    ...(relaxation === undefined ? {} : { relaxation }),
    ...(fix === undefined ? {} : { fix }),
    ...wordSubstitution(context, judged),
    ...wordSuccessor(context, item),
    ...(warnings.length > 0 ? { warnings } : {}),
    ...(questions.length > 0 ? { confirm: questions } : {}),
  }
}
