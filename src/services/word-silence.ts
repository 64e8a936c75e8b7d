import type { Advice } from '../domain/advice/advise.ts'
import type { SilenceWords } from '../ontology/protection-shape.ts'
import type { Wording } from './texts.ts'

type Forbidden = SilenceWords['forbidden'][number]

/** Danger questions nobody has asked yet whose sign forbids silencing. */
function toAskFirst(advice: Advice, { forbidden }: SilenceWords): string[] {
  const { release } = advice.known.instance
  const hazards = new Set(forbidden.flatMap((reason) => reason.hazards))
  return advice.dangerQuestions.flatMap((index) => {
    const { id, model } = release.checks[index]!
    return model.kind === 'danger' && hazards.has(release.hazards[model.hazard]!.id) ? [id] : []
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
  return {
    verdict: verdict as 'forbidden' | 'ask-first' | 'allowed',
    ...(verdict === 'forbidden' ? {} : { how: `${wording.say(words.how)} ${wording.say(words.ask)}` }),
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
