import type { Advice } from '../domain/advice/advise.ts'
import { isAllCleared } from '../domain/advice/gather-cleared.ts'
import { isBeyondCaller } from '../domain/advice/permit.ts'
import type { StopKind } from '../domain/advice/stop.ts'
import type { Hazard } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'
import { liftsToDo, wordLifts } from './word-lift.ts'

const FOR_THE_HANDY =
  'What remains is not for everybody: somebody handy with tools and wires can do it where local rules allow, or a technician.'
const FOR_A_TECHNICIAN = 'What remains to be checked or done is for a licensed technician.'
const THEN_OTHERS = 'Where your own steps do not help, the others of the plan are for a technician.'
const NOTHING_FITS = 'None of the usual reasons fits what is reported well enough.'
const DO_NOT_GUESS = 'Do not guess: have a technician look.'
const ONE_STEP = 'Carry out the step of the plan, and read the display again after it.'
const READ_ONCE_MORE = 'Read the display once more. What it still shows, or what comes back, is reported anew.'
const MORE_STEPS = 'Try the plan from the top, and read the display again after each step.'

/** Whether all that is kept from this person is for somebody handy. */
function isForTheHandy({ plan, known }: Advice): boolean {
  const refused = plan.filter(({ permit }) => permit.verdict === 'refused' && permit.reason === 'needs-technician')
  const { remedies } = known.instance.release
  return refused.length > 0 && refused.every(({ remedy }) => remedies[remedy]!.who === 'handy')
}

/** From here on an item counts as explained by nothing usual. */
const EVEN = 0.5

/** The items that none of the usual reasons fits; all of them where no single one stands out. */
function wordUnfit({ known, unexplainedShares }: Advice, wording: Wording): string {
  const { conditions } = known.instance.release
  const unfit = known.present.filter((_, at) => unexplainedShares[at]! >= EVEN)
  if (unfit.length === 0 || unfit.length === known.present.length) return `${NOTHING_FITS} ${DO_NOT_GUESS}`
  const names = [...new Set(unfit.map(({ condition }) => `"${wording.label(conditions[condition]!.id)}"`))]
  return `None of the usual reasons fits ${names.join(', ')} well enough; the rest is explained. ${DO_NOT_GUESS}`
}

/** Why a call ends, and what is done now, where that is not only to go on with the plan. */
interface Words {
  why?: string
  act?: string
}

/** The step in front, and that the rest is asked when it has not helped. */
function actFirst({ plan, known }: Advice, wording: Wording): string {
  const label = wording.label(known.instance.release.remedies[plan[0]!.remedy]!.id)
  return `Do this first: "${label}". What stays after it is asked then.`
}

/** That nothing which was reported stands any more. */
function allCleared({ known }: Advice, wording: Wording): Words {
  const { conditions } = known.instance.release
  const names = new Set(known.cleared.map(({ condition }) => `"${wording.label(conditions[condition]!.id)}"`))
  return { why: `What was reported no longer stands: ${[...names].join(', ')}.`, act: READ_ONCE_MORE }
}

function withoutUsefulCheck(advice: Advice, wording: Wording): Words {
  if (isAllCleared(advice.known)) return allCleared(advice, wording)
  if (advice.isActFirst) return { act: actFirst(advice, wording) }
  const why = 'No question that may be put now would tell much more.'
  if (advice.plan.length === 0) return { why }
  return { why, act: advice.plan.length === 1 ? ONE_STEP : MORE_STEPS }
}

function confidently(advice: Advice, wording: Wording): Words {
  const { plan, likely, isActFirst } = advice
  const isMixed = plan.some(({ remedy, permit }) => likely.includes(remedy) && isBeyondCaller(permit))
  const acts = [...(isActFirst ? [actFirst(advice, wording)] : []), ...(isMixed ? [THEN_OTHERS] : [])]
  const all = advice.judgedLater.length > 0 ? 'everything that can be judged now' : 'everything that stands'
  const why = `The remedies of the likely causes in the plan are likely to clear ${all}.`
  return acts.length === 0 ? { why } : { why, act: acts.join(' ') }
}

/** The first step that the person at the site may still do before others come. */
function ownFirst({ plan, known }: Advice, wording: Wording): string[] {
  const own = plan.find(({ permit }) => permit.verdict !== 'refused')
  return own === undefined
    ? []
    : [`Your own step first: "${wording.label(known.instance.release.remedies[own.remedy]!.id)}".`]
}

const REASON: Record<StopKind, (advice: Advice, wording: Wording) => Words> = {
  danger: () => ({ why: 'A danger sign was reported. Nothing else matters until it is dealt with.' }),
  confident: confidently,
  'does-not-fit': (advice, wording) => ({ why: wordUnfit(advice, wording) }),
  'needs-technician': (advice, wording) => ({
    why: [...ownFirst(advice, wording), isForTheHandy(advice) ? FOR_THE_HANDY : FOR_A_TECHNICIAN].join(' '),
  }),
  'no-useful-check': withoutUsefulCheck,
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
function waitsFor(advice: Advice, wording: Wording): string[] {
  const [first] = advice.searched.checks
  if (first?.opensRemedy === undefined) return []
  return [
    `Its first likely remedy waits for one check: ${wording.label(advice.known.instance.release.checks[first.check]!.id)}.`,
  ]
}

/** That a flat battery is no news while its supply is away. */
function judgedLater({ judgedLater: items, known }: Advice, wording: Wording): string[] {
  const { conditions } = known.instance.release
  const names = [...new Set(items.map(({ condition }) => `"${wording.label(conditions[condition]!.id)}"`))]
  if (names.length === 0) return []
  return [
    `${names.join(', ')}: judged only once the power has been right for a day or two; until then the battery may just be empty.`,
  ]
}

/** What has to be lifted before the rest. */
const first = (lift: readonly string[]): string[] => (lift.length === 0 ? [] : ['First:', ...lift, 'Then go on.'])

/** Why to stop asking, and what to do; null while asking on is worth it. */
export function wordStop(advice: Advice, wording: Wording) {
  const { stop } = advice
  if (stop === undefined) return null
  const lift = wordLifts(wording, liftsToDo(advice))
  const { why, act } = REASON[stop](advice, wording)
  const isDanger = stop === 'danger'
  const waits = isDanger ? [] : waitsFor(advice, wording)
  const later = isDanger ? [] : judgedLater(advice, wording)
  return {
    kind: stop,
    reason: [why, ...waits, ...first(lift), act, ...later].filter((text) => text !== undefined).join(' '),
    acts: wordActs(advice, wording),
    lift,
  }
}
