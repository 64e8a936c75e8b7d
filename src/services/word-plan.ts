import type { Advice } from '../domain/advice/advise.ts'
import { liftsOf, type Permit } from '../domain/advice/permit.ts'
import type { Cause, Remedy } from '../ontology/shape.ts'
import { causeRef } from './cause-ref.ts'
import { doesHold } from './protected-standing.ts'
import type { Wording } from './texts.ts'
import { wordLifts } from './word-lift.ts'
import { wordRefusal } from './word-refusal.ts'

function wordPermit(advice: Advice, wording: Wording, permit: Permit) {
  if (permit.verdict === 'allowed') return { verdict: permit.verdict }
  const lifts = wordLifts(wording, liftsOf(permit))
  const lift = lifts.length > 0 ? { lift: lifts } : {}
  if (permit.verdict === 'refused') return { verdict: permit.verdict, reason: wordRefusal(wording, permit), ...lift }
  const { id } = advice.known.instance.release.checks[permit.check]!
  const reason = [`First the check "${wording.label(id)}".`, ...lifts].join(' ')
  return { verdict: permit.verdict, check: id, reason, ...lift }
}

/** Remedies in the order to try, each whole: steps, what to expect, how to confirm. */
export function wordPlan(advice: Advice, wording: Wording) {
  const { release } = advice.known.instance
  const refs = (list: readonly { cause: number; probability: number }[]) =>
    list.map(({ cause, probability }) => ({ ...causeRef(advice, wording, cause), probability }))
  return advice.plan.map((planned) => {
    const remedy = wording.concept<Remedy>(release.remedies[planned.remedy]!.id)
    return {
      remedy: remedy.id,
      label: wording.label(remedy.id),
      who: remedy.who,
      duration: { value: remedy.minutes.value, unit: 'min' },
      cost: remedy.cost,
      steps: remedy.steps.map((step) => wording.say(step)),
      expect: wording.say(remedy.expect),
      confirm: wording.say(remedy.confirm),
      hazards: remedy.hazards,
      partClasses: remedy.partClasses,
      fixes: refs(planned.fixes),
      clearsProbability: planned.clearsProbability,
      permit: wordPermit(advice, wording, planned.permit),
      openRoots: refs(planned.openRoots),
    }
  })
}

const OFF_TEST = 'Last of all, call the monitoring center and have the system taken off test.'
const CALL_BACK = 'Call back when one of these is still shown after the plan, or comes back:'

/** From here on a cause counts as what was the matter. Judgement. */
const LIKELY = 0.5

/** What stays to be done after the likely causes are cured. */
function wordAfterwards(advice: Advice, wording: Wording): string[] {
  const { keys, release } = advice.known.instance
  const likely = keys.flatMap(({ cause }, index) => (advice.posterior[index]! >= LIKELY ? [cause] : []))
  return [...new Set(likely)].flatMap((cause) => {
    const { afterwards } = wording.concept<Cause>(release.causes[cause]!.id)
    const isDue = afterwards && !afterwards.unless.some((context) => doesHold(advice, context))
    return isDue ? [wording.say(afterwards.say)] : []
  })
}

/** What ends the call: what is still to be done, off test, and when to call back. */
export function wordClosing(advice: Advice, wording: Wording): string[] {
  const { contexts, index, instance, present, cleared } = advice.known
  if (advice.stop === 'danger') return []
  const standing = [...present, ...cleared].map(({ condition }) =>
    wording.label(instance.release.conditions[condition]!.id),
  )
  const onTest = index.context.get('context/on-test')
  return [
    ...wordAfterwards(advice, wording),
    ...(standing.length > 0 ? [`${CALL_BACK} ${[...new Set(standing)].join(', ')}.`] : []),
    ...(onTest !== undefined && contexts.has(onTest) ? [OFF_TEST] : []),
  ]
}
