import type { Advice } from '../domain/advice/advise.ts'
import type { StopKind } from '../domain/advice/stop.ts'
import type { Hazard } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

const REASON: Record<StopKind, string> = {
  danger: 'A danger sign was reported. Nothing else matters until it is dealt with.',
  confident: 'The remedies of the likely causes, first in the plan, are likely to clear everything that stands.',
  'does-not-fit':
    'Nothing that is modelled explains what is reported well enough. Do not guess: have a technician look.',
  'needs-technician': 'What remains to be checked or done is for a licensed technician.',
  'no-useful-check':
    'No check that may be offered would tell much more. Try the plan from the top, and read the display again after each step.',
}

/** What to do about each danger sign that was reported, each act once. */
export function wordActs(advice: Advice, wording: Wording): string[] {
  const { release } = advice.known.instance
  const acts = advice.known.dangers.map(({ hazard }) => {
    const concept = wording.concept<Hazard>(release.hazards[hazard]!.id)
    return wording.say(concept.act ?? concept.caution)
  })
  return [...new Set(acts)]
}

/** Why to stop asking, and what to do; null while asking on is worth it. */
export function wordStop(advice: Advice, wording: Wording) {
  if (advice.stop === undefined) return null
  return { kind: advice.stop, reason: REASON[advice.stop], acts: wordActs(advice, wording) }
}
