import type { Advice } from '../../domain/advice/advise.ts'
import { explainedByNothing } from '../../domain/advice/unexplained.ts'
import { isTrue, type Played } from './play.ts'

/** Figures over a list of played calls; shares are fractions. */
export interface Score {
  calls: number
  top1: number
  top3: number
  /** True causes of calls with several that end with 0.5 or more; and that stand among the first five. */
  recallLikely: number
  recallFirstFive: number
  medianChecks: number
  medianMinutes: number
  /** Median over the calls in which a true cause ever reaches 0.9. */
  checksTo90: number
  reached90: number
  rightAtStop: number
  mustAskMet: number
  unneededParts: number
  brier: number
  logScoreBits: number
  /** A false cause ends with 0.9 or more; the call ends as confident and no likely remedy removes a true cause. */
  falseCauseAt90: number
  confidentWrong: number
  wrongAdvice: number
  unsafe: number
}

const CONFIDENT = 0.9
const LIKELY = 0.5

const mean = (values: readonly number[]) =>
  values.length === 0 ? Number.NaN : values.reduce((sum, value) => sum + value, 0) / values.length
export const median = (values: readonly number[]) =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN
const share = <T>(list: readonly T[], holds: (item: T) => boolean) => mean(list.map((item) => (holds(item) ? 1 : 0)))
const last = ({ advices }: Played) => advices.at(-1)!

interface Ranked {
  id: string
  probability: number
  isTrue: boolean
  isOther: boolean
}

/** Causes of an answer in its order, each with whether it is really there. */
export function ranked(played: Played, advice: Advice): Ranked[] {
  const { keys, release } = advice.known.instance
  return advice.causes.map(({ cause, device, probability }) => {
    const index = keys.findIndex((key) => key.cause === cause && key.device === device)
    const { id, isOther } = release.causes[cause]!
    return { id, probability, isTrue: isTrue(played.one, advice, index), isOther }
  })
}
const named = (played: Played, advice: Advice) => ranked(played, advice).filter(({ isOther }) => !isOther)

function to90(played: Played): number | undefined {
  const at = played.advices.findIndex((advice) =>
    ranked(played, advice).some(({ isTrue: yes, probability }) => yes && probability >= CONFIDENT),
  )
  return at < 0 ? undefined : at
}

/** Squared error of every cause listed at the end, and of each true one that is not listed. */
function brierOf(played: Played): number {
  const list = ranked(played, last(played))
  const missed = played.one.truth.length - new Set(list.filter(({ isTrue: yes }) => yes).map(({ id }) => id)).size
  return (
    list.reduce((sum, { probability, isTrue: yes }) => sum + (probability - (yes ? 1 : 0)) ** 2, 0) +
    Math.max(0, missed)
  )
}

/** Least probability that a true cause counts with: what is not listed is under it. */
const LEAST = 0.005
function logScoreOf(played: Played): number {
  const best = (cause: string) =>
    Math.max(
      LEAST,
      ...ranked(played, last(played)).flatMap(({ id, isTrue: yes, probability }) =>
        yes && id === cause ? [probability] : [],
      ),
    )
  return mean(played.one.truth.map(({ cause }) => -Math.log2(best(cause))))
}

/** Parts that the likely remedies at the end call for and that cure nothing that is there. */
function unneededParts(played: Played): number {
  const { plan, known, stop } = last(played)
  if (stop !== 'confident') return 0
  const { release } = known.instance
  return plan.filter(
    ({ remedy, fixes }) =>
      release.remedies[remedy]!.partClasses.length > 0 &&
      fixes.some(({ probability }) => probability >= LIKELY) &&
      !fixes.some(({ cause }) => isTrue(played.one, last(played), cause)),
  ).length
}

/** Ends as confident with remedies of which none removes what is there. */
function isConfidentWrong(played: Played): boolean {
  const { plan, stop } = last(played)
  if (stop !== 'confident') return false
  const likely = plan.filter(({ fixes }) => fixes.some(({ probability }) => probability >= LIKELY))
  return !likely.some(({ fixes }) => fixes.some(({ cause }) => isTrue(played.one, last(played), cause)))
}

function isFalseAt90(played: Played): boolean {
  const lead = named(played, last(played))[0]
  const isCalm = last(played).stop !== 'does-not-fit' && last(played).stop !== 'danger'
  return lead !== undefined && lead.probability >= CONFIDENT && !lead.isTrue && isCalm
}

/** The call ends with the plan, and its first remedy that may be carried out is one that the case forbids. */
function isWrongAdvice(played: Played): boolean {
  const { plan, known, stop } = last(played)
  if (stop !== 'confident' && stop !== 'no-useful-check') return false
  const first = plan.find(({ permit }) => permit.verdict === 'allowed')
  return first !== undefined && played.one.mustNotAdvise.includes(known.instance.release.remedies[first.remedy]!.id)
}

/** Scores calls whose causes the ontology knows; of dangers and unmodelled calls only what applies to them. */
export function scoreOf(calls: readonly Played[]): Score {
  const modelled = calls.filter(({ one }) => one.kind !== 'danger' && one.kind !== 'unmodelled')
  const several = modelled.filter(({ one }) => one.truth.length > 1)
  const among = (played: Played, count: number) => named(played, last(played)).slice(0, count)
  const found = (played: Played, list: readonly Ranked[]) =>
    new Set(list.filter(({ isTrue: yes }) => yes).map(({ id }) => id)).size /
    new Set(played.one.truth.map(({ cause }) => cause)).size
  const times = modelled.map(to90)
  return {
    calls: calls.length,
    top1: share(modelled, (played) => among(played, 1).some(({ isTrue: yes }) => yes)),
    top3: share(modelled, (played) => among(played, 3).some(({ isTrue: yes }) => yes)),
    recallLikely: mean(
      several.map((played) =>
        found(
          played,
          ranked(played, last(played)).filter(({ probability }) => probability >= LIKELY),
        ),
      ),
    ),
    recallFirstFive: mean(several.map((played) => found(played, among(played, 5)))),
    medianChecks: median(modelled.map(({ asked }) => asked.length)),
    medianMinutes: median(modelled.map(({ minutes }) => minutes)),
    checksTo90: median(times.filter((time) => time !== undefined)),
    reached90: share(times, (time) => time !== undefined),
    rightAtStop: share(calls, (played) => played.one.stops.some((stop) => stop === last(played).stop)),
    mustAskMet: share(modelled, ({ one, asked, advices }) =>
      one.mustAsk.every(
        (check) => asked.includes(check) || advices.at(-1)!.known.answers.has(`${indexOfCheck(advices[0]!, check)}`),
      ),
    ),
    unneededParts: mean(calls.map(unneededParts)),
    brier: mean(modelled.map(brierOf)),
    logScoreBits: mean(modelled.map(logScoreOf)),
    falseCauseAt90: share(calls, isFalseAt90),
    confidentWrong: share(calls, isConfidentWrong),
    wrongAdvice: share(calls, isWrongAdvice),
    unsafe: calls.reduce((sum, { unsafe }) => sum + unsafe.length, 0),
  }
}

const indexOfCheck = ({ known }: Advice, check: string) => known.index.check.get(check)

/** Of the cause in front at the end: how often it is true, by tenths of its probability. */
export function reliabilityBins(calls: readonly Played[]) {
  const fronts = calls.flatMap((played) => named(played, last(played)).slice(0, 1))
  return Array.from({ length: 5 }, (_, bin) => {
    const inside = fronts.filter(({ probability }) => Math.min(4, Math.floor(probability * 5)) === bin)
    return {
      from: bin / 5,
      calls: inside.length,
      stated: mean(inside.map(({ probability }) => probability)),
      true: share(inside, ({ isTrue: yes }) => yes),
    }
  })
}

/** Share of calls that say "nothing I know fits" after so many checks; a call that has ended keeps its last answer. */
export function flaggedAfter(calls: readonly Played[], checks: number): number {
  return share(calls, ({ advices }) => explainedByNothing(advices[Math.min(checks, advices.length - 1)]!) >= LIKELY)
}
