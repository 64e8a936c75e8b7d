import type { Advice } from '../domain/advice/advise.ts'
import { type CombinedProtection, combineProtection, isAtLeast, type Loss } from '../domain/advice/protection.ts'
import type { Limits } from '../domain/findings/finding.ts'
import type { InterimWords, ProtectionWords } from '../ontology/protection-shape.ts'
import { BASIS_WORDS, doesHold, type Standing, standingOf } from './protected-standing.ts'
import { mainBatteryHours, type StatedReserve } from './reserve-hours.ts'
import type { Wording } from './texts.ts'
import { wordActs } from './word-stop.ts'
import { wordUntil } from './word-until.ts'

const ANY_MOMENT = 'It still runs, since the display can be read, but it may stop at any moment.'
const NOT_STATED = 'This edition says what each condition means in words only: read `protection`.'

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

function isNeeded({ when, onBattery }: InterimWords, { losses, until }: CombinedProtection): boolean {
  return (
    until.some(({ battery }) => onBattery.includes(battery)) ||
    when.some(({ function: name, from, to = 'lost' }) => isAtLeast(losses[name], from) && isAtLeast(to, losses[name]))
  )
}

/** Measures until it is mended, in the order of the ontology: people first. */
function wordInterim(advice: Advice, wording: Wording, words: ProtectionWords, now: CombinedProtection) {
  return words.interim
    .filter((measure) => isNeeded(measure, now) && !doesHold(advice, measure.unless))
    .map(({ id, say, source, basis }) => ({ measure: id, say: wording.say(say), basis: source ?? BASIS_WORDS[basis] }))
}

/** Acts of reported dangers: they come before any measure. */
const urgentActs = (advice: Advice, wording: Wording) =>
  wordActs(advice, wording).map((say) => ({ measure: 'danger-first', say, basis: BASIS_WORDS.practice }))

function sentenceOf(advice: Advice, wording: Wording, words: ProtectionWords, now: CombinedProtection): string {
  const danger = advice.known.dangers.length > 0 ? ['A danger sign was reported: that comes first.'] : []
  const cut = now.endsWithMains ? [wording.say(words.endsWithMains)] : []
  const anyMoment = now.mayStopAnyMoment ? [ANY_MOMENT] : []
  const worse = now.mayBeWorse && now.state !== 'unknown' ? [wording.say(words.mayBeWorse)] : []
  return [...danger, wording.say(words.states[now.state]), ...anyMoment, ...cut, ...worse].join(' ')
}

/** Whether the display has been read whole, nothing is disputed, and no sign of trouble lies outside of what stands. */
function isAllKnown({ known }: Advice): boolean {
  const standing = new Set(known.present.map(({ effect }) => effect))
  const hasOtherSign = known.evidence.some(
    ({ effect, level, findings }) => level > 0 && findings.length > 0 && !standing.has(effect),
  )
  return known.isScreenComplete && known.contradictions.length === 0 && !hasOtherSign
}

/** Whether somebody at the alarm has just read its display: read from elsewhere it may show what was. */
const isAlive = (advice: Advice): boolean => advice.known.isScreenComplete && !doesHold(advice, 'context/caller-remote')

/** "Am I protected now?" as one statement over everything that stands. */
export function wordProtected(advice: Advice, wording: Wording, { nowMs }: Limits, reserve?: StatedReserve) {
  const words = wording.release.ontology.protection
  const standing = standingOf(advice, wording)
  const acts = urgentActs(advice, wording)
  const nothing = { worksNow: [], worksNot: [], notKnown: [], until: [] }
  if (!words) return { state: 'unknown' as const, sentence: NOT_STATED, ...nothing, interim: acts, mayBeWorse: true }
  const now = combineProtection(
    standing.map(({ affects }) => affects),
    {
      isAllKnown: isAllKnown(advice),
      isAlive: isAlive(advice),
      ...(reserve ? { mainHours: mainBatteryHours(reserve) } : {}),
      isReserveSpent: words.reserveSpentIf.some((context) => doesHold(advice, context)),
    },
  )
  const until = wordUntil(wording, words, { standing, now, isComputed: reserve !== undefined }, nowMs)
  const functions = functionsOf(advice, wording, words, standing, now)
  const isAnythingKnown = standing.length > 0 || isAllKnown(advice)
  return {
    state: now.state,
    sentence: [sentenceOf(advice, wording, words, now), ...until.slice(0, 1).map(({ say }) => say)].join(' '),
    worksNow: isAnythingKnown ? worksNow(functions) : [],
    worksNot: ofLoss(functions, ['lost', 'doubtful', 'in-part']),
    notKnown: ofLoss(functions, ['unknown']),
    until,
    interim: [...acts, ...wordInterim(advice, wording, words, now)],
    mayBeWorse: now.mayBeWorse,
  }
}
