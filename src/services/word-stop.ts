import type { Advice } from '../domain/advice/advise.ts'
import type { StopKind } from '../domain/advice/stop.ts'
import type { Hazard } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

const REASON: Record<StopKind, string> = {
  danger: 'A danger sign was reported. Nothing else matters until it is dealt with.',
  confident: 'The remedies of the likely causes in the plan are likely to clear everything that stands.',
  'does-not-fit':
    'Nothing that is modelled explains what is reported well enough. Do not guess: have a technician look.',
  'needs-technician': 'What remains to be checked or done is for a licensed technician.',
  'no-useful-check':
    'No check that may be offered would tell much more. Try the plan from the top, and read the display again after each step.',
}

const FOR_THE_HANDY =
  'What remains is not for everybody: somebody handy with tools and wires can do it where local rules allow, or a technician.'

/** Whether all that is kept from this person is for somebody handy. */
function isForTheHandy({ plan, known }: Advice): boolean {
  const refused = plan.filter(({ permit }) => permit.verdict === 'refused' && permit.reason === 'needs-technician')
  const { remedies } = known.instance.release
  return refused.length > 0 && refused.every(({ remedy }) => remedies[remedy]!.who === 'handy')
}

function reasonOf(stop: StopKind, advice: Advice): string {
  return stop === 'needs-technician' && isForTheHandy(advice) ? FOR_THE_HANDY : REASON[stop]
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

/** What the plan still waits for. */
function waitsFor(advice: Advice, wording: Wording): string {
  const [first] = advice.searched.checks
  if (first?.opensRemedy === undefined) return ''
  return ` Its first likely remedy waits for one check: ${wording.label(advice.known.instance.release.checks[first.check]!.id)}.`
}

/** Why to stop asking, and what to do; null while asking on is worth it. */
export function wordStop(advice: Advice, wording: Wording) {
  if (advice.stop === undefined) return null
  return {
    kind: advice.stop,
    reason: reasonOf(advice.stop, advice) + waitsFor(advice, wording),
    acts: wordActs(advice, wording),
  }
}
