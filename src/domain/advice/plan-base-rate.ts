import { causesOfEffect } from '../diagnosis/causes-of.ts'
import { type Fix, type PlanCandidate, type PlanState, WORTH_CONSIDERING } from './plan-candidates.ts'

/** What stands speaks for a cause when it is so many times as likely as anywhere. Judgement. */
const SPOKEN_FOR = 1.5

/**
 * Candidates without those that cost something and are for causes as likely here as anywhere, such as the small battery of one of
 * several devices that were lost together: where a likelier cause, that has its own candidate, stands behind each item that they
 * could clear. What costs nothing may be tried all the same.
 */
export function calledFor({ known }: PlanState, candidates: readonly PlanCandidate[]): PlanCandidate[] {
  const { effects, priors, release } = known.instance
  const items = known.present.map(({ effect }) => causesOfEffect(effects[effect]!))
  const isSpokenFor = ({ cause, probability }: Fix) => probability >= SPOKEN_FOR * priors[cause]!
  const spokenFor = (fixes: readonly Fix[], item: ReadonlySet<number>) =>
    fixes.reduce((sum, fix) => (item.has(fix.cause) && isSpokenFor(fix) ? sum + fix.probability : sum), 0)
  const likeliest = (fixes: readonly Fix[], item: ReadonlySet<number>) =>
    fixes.reduce((most, { cause, probability }) => (item.has(cause) ? Math.max(most, probability) : most), 0)
  const isFree = ({ remedy }: PlanCandidate) => release.remedies[remedy]!.cost === 'none'
  const kept = candidates.filter(({ fixes }) => items.some((item) => spokenFor(fixes, item) >= WORTH_CONSIDERING))
  const hasLikelier = ({ fixes }: PlanCandidate) =>
    items.every((item) => {
      const own = likeliest(fixes, item)
      return own === 0 || kept.some((other) => likeliest(other.fixes, item) > own)
    })
  return candidates.filter((candidate) => isFree(candidate) || kept.includes(candidate) || !hasLikelier(candidate))
}
