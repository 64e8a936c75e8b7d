import type { Advice } from '../domain/advice/advise.ts'
import { askedKey } from '../domain/advice/gathered.ts'
import { DONT_KNOW } from '../domain/findings/finding.ts'
import type { SilenceWords } from '../ontology/protection-shape.ts'
import type { Wording } from './texts.ts'
import { dangerRank } from './word-checks.ts'

type Forbidden = SilenceWords['forbidden'][number]

/** Danger questions whose sign forbids silencing and that nobody has answered: "do not know" rules no danger out. */
function toAskFirst({ known }: Advice, { forbidden }: SilenceWords): string[] {
  const { release } = known.instance
  const hazards = new Set(forbidden.flatMap((reason) => reason.hazards))
  const inOrder = [...release.checks.keys()].sort((a, b) => dangerRank(release, a) - dangerRank(release, b) || a - b)
  return inOrder.flatMap((index) => {
    const { id, model } = release.checks[index]!
    if (model.kind !== 'danger' || !hazards.has(release.hazards[model.hazard]!.id)) return []
    const answers = [...(known.answers.get(askedKey(index, undefined)) ?? [])]
    return answers.some((answer) => answer !== DONT_KNOW) ? [] : [id]
  })
}

/** Whether a reason holds now: its danger sign was reported, or its condition stands. */
function doesForbid(advice: Advice, { hazards, conditions }: Forbidden): boolean {
  const { known } = advice
  const { release } = known.instance
  return (
    known.dangers.some(({ hazard }) => hazards.includes(release.hazards[hazard]!.id)) ||
    known.present.some(({ condition }) => conditions.includes(release.conditions[condition]!.id))
  )
}

/** Silencing as an act of its own; null where the edition says nothing of it. */
export function wordSilence(advice: Advice, wording: Wording) {
  const words = wording.release.ontology.silence
  if (!words) return null
  const forbiddenBy = words.forbidden.filter((reason) => doesForbid(advice, reason))
  const askFirst = toAskFirst(advice, words)
  const verdict = forbiddenBy.length > 0 ? 'forbidden' : askFirst.length > 0 ? 'ask-first' : 'allowed'
  const isTold = verdict !== 'forbidden' && advice.known.dangers.length === 0
  return {
    verdict: verdict as 'forbidden' | 'ask-first' | 'allowed',
    ...(isTold ? { how: `${wording.say(words.how)} ${wording.say(words.ask)}` } : {}),
    askFirst,
    doesNot: words.doesNot.map((text) => wording.say(text)),
    forbidden: words.forbidden.map((reason) => ({
      reason: reason.id,
      holds: forbiddenBy.includes(reason),
      say: wording.say(reason.say),
    })),
    basis: words.source ?? 'common practice, no source',
  }
}
