import type { Advice } from '../domain/advice/advise.ts'
import { holdsSurely } from '../domain/advice/gathered.ts'
import {
  type Affects,
  type CombinedProtection,
  combineProtection,
  isAtLeast,
  type Loss,
  PROTECTIONS,
  type ProtectionFunction,
  type Reserve,
} from '../domain/advice/protection.ts'
import type { Limits } from '../domain/findings/finding.ts'
import type { AffectsStated } from '../ontology/affects-shape.ts'
import type { ProtectionWords } from '../ontology/protection-shape.ts'
import type { Condition } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'
import { wordActs } from './word-stop.ts'

const NOT_STATED = 'This edition says what each condition means in words only: read `protection`.'
const BASIS = {
  published: 'published',
  judgement: 'judgement of this ontology',
  practice: 'common practice, no source',
}
const HOUR_MS = 3_600_000
const HOURS_A_DAY = 24

/** A condition's statement as the core takes it. */
function affectsOf(stated: AffectsStated | undefined): Affects | undefined {
  if (!stated) return undefined
  const losses = Object.fromEntries(PROTECTIONS.flatMap((name) => (stated[name] ? [[name, stated[name]]] : [])))
  if (!stated.lasts) return { losses }
  const { battery, low, high } = stated.lasts
  const range = { ...(low === undefined ? {} : { lowHours: low }), ...(high === undefined ? {} : { highHours: high }) }
  return { losses, lasts: { battery, ...range } }
}

/** Each condition that stands, with what it states. */
function standingOf(advice: Advice, wording: Wording) {
  const { release } = advice.known.instance
  return advice.known.present.map(({ condition, device }) => {
    const { id, affects } = wording.concept<Condition>(release.conditions[condition]!.id)
    const named = { condition: id, ...(device === undefined ? {} : { device }), label: wording.label(id) }
    return { named, stated: affects, affects: affectsOf(affects) }
  })
}
type Standing = ReturnType<typeof standingOf>

function doesHold({ known }: Advice, context: string | undefined): boolean {
  const index = context === undefined ? undefined : known.index.context.get(context)
  return index !== undefined && holdsSurely(known, index)
}

/** Each function the system can have, with its words and the conditions that touch it. */
function functionsOf(
  advice: Advice,
  wording: Wording,
  words: ProtectionWords,
  standing: Standing,
  now: CombinedProtection,
) {
  return words.functions
    .filter(({ noneIf }) => !doesHold(advice, noneIf))
    .map(({ id, say, rest }) => {
      const loss = now.losses[id]
      const because = standing.filter(({ affects }) => !affects || affects.losses[id] !== undefined)
      const item = { function: id, loss, because: because.map(({ named }) => named) }
      return { ...item, say: wording.say(say[loss]), ...(rest ? { rest: wording.say(rest) } : {}) }
    })
}
type WordedFunction = ReturnType<typeof functionsOf>[number]

const ofLoss = (functions: readonly WordedFunction[], losses: readonly Loss[]) =>
  functions.filter(({ loss }) => losses.includes(loss)).map(({ rest: _, ...item }) => item)

/** What is left: functions not touched or on a battery, and the rest of those that are lost in part. */
function worksNow(functions: readonly WordedFunction[]) {
  const left = functions.flatMap(({ rest, ...item }) =>
    item.loss === 'in-part' && rest !== undefined ? [{ ...item, say: rest }] : [],
  )
  return [...ofLoss(functions, ['works', 'until-battery-ends']), ...left]
}

const spoken = (hours: number) =>
  hours > 2 * HOURS_A_DAY ? `${Math.round(hours / HOURS_A_DAY)} days` : `${Math.round(hours)} h`

/** A range as it is said aloud: never a single figure. */
function spokenRange({ battery, lowHours, highHours }: Reserve): string {
  const from = battery === 'own' ? 'from the first warning' : 'from when the power went, not from this call'
  if (highHours === undefined) return 'how long is not known'
  if (highHours === 0) return 'no time can be promised'
  if (!lowHours) return `at most ${spoken(highHours)} as a rule, perhaps only minutes, ${from}`
  return `about ${spoken(lowHours)} to ${spoken(highHours)} as a rule, ${from}`
}

/** The least certain basis of the ranges behind a battery. */
function basisOfRange(standing: Standing, battery: Reserve['battery']): string {
  const bases = standing.flatMap(({ stated }) => (stated?.lasts?.battery === battery ? [stated.lasts.basis] : []))
  return BASIS[(['judgement', 'practice'] as const).find((basis) => bases.includes(basis)) ?? 'published']
}

/** When each battery in use ends, as a range; a moment only as a bound, in full hours. */
function wordUntil(
  wording: Wording,
  words: ProtectionWords,
  standing: Standing,
  now: CombinedProtection,
  atMs?: number,
) {
  return now.until.map((reserve) => {
    const { battery, lowHours = 0, highHours } = reserve
    const isBound = atMs !== undefined && highHours !== undefined && battery !== 'own'
    const bound = isBound && new Date(Math.floor((atMs + highHours * HOUR_MS) / HOUR_MS) * HOUR_MS).toISOString()
    const lasts = { low: { value: lowHours, unit: 'h' }, high: { value: highHours ?? lowHours, unit: 'h' } }
    return {
      battery,
      ...(highHours === undefined ? {} : { lasts }),
      ...(bound ? { countOnItNoLongerThan: bound } : {}),
      say: `${wording.say(words.batteries[battery])}: ${spokenRange(reserve)}.`,
      basis: highHours === undefined ? 'not stated' : basisOfRange(standing, battery),
    }
  })
}

/** Measures until it is mended, in the order of the ontology: people first. */
function wordInterim(advice: Advice, wording: Wording, words: ProtectionWords, losses: CombinedProtection['losses']) {
  const isNeeded = (when: { function: ProtectionFunction; from: Loss }[]) =>
    when.some(({ function: name, from }) => isAtLeast(losses[name], from))
  return words.interim
    .filter(({ when, unless }) => isNeeded(when) && !doesHold(advice, unless))
    .map(({ id, say, source, basis }) => ({ measure: id, say: wording.say(say), basis: source ?? BASIS[basis] }))
}

/** Acts of reported dangers: they come before any measure. */
const urgentActs = (advice: Advice, wording: Wording) =>
  wordActs(advice, wording).map((say) => ({ measure: 'danger-first', say, basis: BASIS.practice }))

function sentenceOf(advice: Advice, wording: Wording, words: ProtectionWords, now: CombinedProtection): string {
  const danger = advice.known.dangers.length > 0 ? ['A danger sign was reported: that comes first.'] : []
  const cut = now.endsWithMains ? [wording.say(words.endsWithMains)] : []
  const worse = now.mayBeWorse && now.state !== 'unknown' ? [wording.say(words.mayBeWorse)] : []
  return [...danger, wording.say(words.states[now.state]), ...cut, ...worse].join(' ')
}

/** "Am I protected now?" as one statement over everything that stands. */
export function wordProtected(advice: Advice, wording: Wording, { nowMs }: Limits) {
  const words = wording.release.ontology.protection
  const standing = standingOf(advice, wording)
  const acts = urgentActs(advice, wording)
  const nothing = { worksNow: [], worksNot: [], notKnown: [], until: [] }
  if (!words) return { state: 'unknown' as const, sentence: NOT_STATED, ...nothing, interim: acts, mayBeWorse: true }
  const now = combineProtection(
    standing.map(({ affects }) => affects),
    {
      isDisplayRead: advice.known.isScreenComplete,
      isReserveSpent: words.reserveSpentIf.some((context) => doesHold(advice, context)),
    },
  )
  const functions = functionsOf(advice, wording, words, standing, now)
  const isAnythingKnown = standing.length > 0 || advice.known.isScreenComplete
  return {
    state: now.state,
    sentence: sentenceOf(advice, wording, words, now),
    worksNow: isAnythingKnown ? worksNow(functions) : [],
    worksNot: ofLoss(functions, ['lost', 'doubtful', 'in-part']),
    notKnown: ofLoss(functions, ['unknown']),
    until: wordUntil(wording, words, standing, now, nowMs),
    interim: [...acts, ...wordInterim(advice, wording, words, now.losses)],
    mayBeWorse: now.mayBeWorse,
  }
}
