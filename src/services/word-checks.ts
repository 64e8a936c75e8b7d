import type { Advice } from '../domain/advice/advise.ts'
import type { CompiledRelease } from '../domain/advice/compiled.ts'
import type { PossibleResult } from '../domain/advice/entropy.ts'
import { signOf } from '../domain/advice/first-questions.ts'
import { dangersToRuleOut } from '../domain/advice/gathered.ts'
import type { NextCheck } from '../domain/advice/search-state.ts'
import type { Check } from '../ontology/shape.ts'
import { causeRef } from './cause-ref.ts'
import type { Wording } from './texts.ts'
import { wordLifts } from './word-lift.ts'
import { wordRefusal } from './word-refusal.ts'

const WHY: Record<NextCheck['why'], string> = {
  'most-information-per-minute': 'Tells most about the cause for the time it takes.',
  'open-the-display-first': 'The display holds more than has been read. Read all of it before anything else.',
  'opens-the-way': 'Must be known before a check that tells more may be offered.',
  'opens-the-plan': 'Must be known before a likely remedy of the plan may be tried.',
  'lift-first': 'A useful check is held back. Do what lifts that, then put this question once more.',
}

function leadingCause(advice: Advice, wording: Wording, { posterior }: PossibleResult) {
  let best = 0
  for (let cause = 1; cause < posterior.length; cause++) if (posterior[cause]! > posterior[best]!) best = cause
  return { ...causeRef(advice, wording, best), probability: posterior[best]! }
}

function wordCheck(advice: Advice, wording: Wording, next: NextCheck) {
  const compiled = advice.known.instance.release.checks[next.check]!
  const check = wording.concept<Check>(compiled.id)
  const { checks, remedies } = advice.known.instance.release
  const remedy = next.opensRemedy === undefined ? undefined : remedies[next.opensRemedy]!.id
  const opensCheck = next.before === undefined ? undefined : checks[next.before]!.id
  const opened = remedy ?? opensCheck
  const opensFor = opened === undefined ? '' : ` It opens the way to: ${wording.label(opened)}.`
  return {
    check: check.id,
    ...(next.device === undefined ? {} : { device: next.device }),
    label: wording.label(check.id),
    ask: wording.ask(check),
    ...(check.how === undefined ? {} : { how: wording.say(check.how) }),
    place: check.place,
    who: check.who,
    duration: { value: check.minutes.value, unit: 'min' },
    ...(check.wait === undefined ? {} : { wait: { value: check.wait.value, unit: 'min' } }),
    tools: check.tools,
    disturbs: check.disturbs,
    hazards: check.hazards,
    gainBits: next.gainBits,
    bitsPerMinute: next.bitsPerMinute,
    why: WHY[next.why] + opensFor,
    ...(next.lift === undefined ? {} : { lift: wordLifts(wording, next.lift) }),
    ...(opensCheck === undefined ? {} : { opensCheck }),
    ...(remedy === undefined ? {} : { opensRemedy: remedy }),
    results: check.results.map((offered) => {
      const expected = next.results.find(({ result }) => result === offered.id)
      return {
        result: offered.id,
        label: wording.result(check, offered),
        ...(expected === undefined
          ? {}
          : { probability: expected.probability, leading: leadingCause(advice, wording, expected) }),
      }
    }),
  }
}

/** Next checks, ready to ask. */
export function wordChecks(advice: Advice, wording: Wording, checks: readonly NextCheck[]) {
  return checks.map((next) => wordCheck(advice, wording, next))
}

const MAX_REFUSED = 10

/** Checks that would tell most but may not be offered, with the reason. */
export function wordRefused(advice: Advice, wording: Wording) {
  const { release } = advice.known.instance
  return [...advice.searched.refused]
    .sort((a, b) => b.gainBits - a.gainBits || a.check - b.check)
    .slice(0, MAX_REFUSED)
    .map(({ check, permit }) => {
      const { id } = release.checks[check]!
      return { check: id, label: wording.label(id), reason: wordRefusal(wording, permit), detail: permit.detail }
    })
}

/** What kills soonest is asked about first; a danger that is not named here comes last. Judgement. */
const DANGERS_IN_ORDER = [
  'hazard/fire-or-smoke',
  'hazard/co-alarm',
  'hazard/gas-smell',
  'hazard/intruder-or-duress',
  'hazard/wearer-may-need-help',
  'hazard/alarm-sounding-now',
  'hazard/electric-shock',
  'hazard/water-and-electricity',
  'hazard/hot-or-burning-supply',
  'hazard/vrla-acid-and-gas',
  'hazard/swallowed-cell',
  'hazard/acid-contact',
  'hazard/breaker-trips-again',
]

/** Place of a check among the danger questions. */
export function dangerRank({ checks, hazards }: CompiledRelease, check: number): number {
  const sign = signOf(checks[check]!)
  const place = sign === undefined ? -1 : DANGERS_IN_ORDER.indexOf(hazards[sign.hazard]!.id)
  return place < 0 ? DANGERS_IN_ORDER.length : place
}

/** Danger signs that nobody has asked about, those that what stands calls for first, ready to ask, with the result that means danger. */
export function wordDangerQuestions(advice: Advice, wording: Wording) {
  const { release } = advice.known.instance
  const first = dangersToRuleOut(advice.known)
  const rank = (check: number) => dangerRank(release, check) - (first.has(check) ? DANGERS_IN_ORDER.length + 1 : 0)
  const inOrder = [...advice.dangerQuestions].sort((a, b) => rank(a) - rank(b) || a - b)
  return inOrder.flatMap((index) => {
    const { id } = release.checks[index]!
    const sign = signOf(release.checks[index]!)?.sign
    if (sign === undefined) return []
    const check = wording.concept<Check>(id)
    const offered = check.results.map((result) => ({ result: result.id, label: wording.result(check, result) }))
    return [{ check: id, ask: wording.ask(check), sign, results: offered }]
  })
}
