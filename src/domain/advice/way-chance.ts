import { given } from '../given.ts'
import type { Candidate } from './candidates.ts'
import { resultsOf } from './check-results.ts'
import type { CompiledCheck, CompiledRelease, CompiledStep } from './compiled.ts'
import { oddsAnswers } from './odds-answers.ts'
import { openQuestions } from './permit.ts'
import { costMinutes, type SearchState } from './search-state.ts'

/** Results of a question that let a step go on; undefined where it waits for the answer alone, whatever it is. */
function openingResults(
  { checks, gates }: CompiledRelease,
  step: CompiledStep,
  question: number,
): Set<string> | undefined {
  const { model } = checks[question]!
  const sets = model.kind === 'applicability' ? model.sets : []
  const isNeeded = ({ check }: { check: number }) => check === question
  const byGates = gates
    .filter(({ ask, place = step.place }) => ask === question && place === step.place)
    .filter(({ disturbs }) => disturbs.some((part) => step.disturbs.includes(part)))
    .flatMap(({ needs }) => sets.filter(({ context }) => needs.includes(context)).map(({ result }) => result))
  const byEarlier = [...step.requires, ...(step.requiresAny ?? [])].filter(isNeeded).map(({ result }) => result)
  if (byEarlier.length === 0) return byGates.length === 0 ? undefined : new Set(byGates)
  return new Set(byGates.length === 0 ? byEarlier : byEarlier.filter((result) => byGates.includes(result)))
}

/** How likely each result of a question is, by question and device: worked out once for a search. */
export type Chances = Map<string, ReadonlyMap<string, number>>

/** What a check behind others comes to: its chance to be put at all, and the state updates that took. */
interface Reached {
  chance: number
  work: number
}

function chancesOf(state: SearchState, known: Chances, question: number, device: string | undefined) {
  const check = state.known.instance.release.checks[question]!
  const own = check.isPerDevice ? device : undefined
  const key = `${question} ${own ?? ''}`
  const found = known.get(key)
  if (found !== undefined) return { chances: found, work: 0 }
  const { results, work } = resultsOf(
    state,
    given({ check: question, device: own, answers: oddsAnswers(state, question, own) }),
  )
  const chances = new Map(results.map(({ result, probability }) => [result, probability]))
  known.set(key, chances)
  return { chances, work }
}

/** Whether the model of a question says nothing of the results in question: a danger, or bands and silence taken together. */
function isUntold(
  chances: ReadonlyMap<string, number>,
  results: ReadonlySet<string>,
  { model }: CompiledCheck,
): boolean {
  if ([...results].some((result) => chances.has(result))) return false
  return chances.size === 0 || chances.has('') || model.kind === 'reading'
}

/** Questions that have to be answered before a step, and the step that waits for them. */
interface Waiting {
  step: CompiledStep
  questions: readonly number[]
}

/** What the steps of a way wait for, the last of them first. */
function waitingOn(
  { known, limits }: SearchState,
  way: readonly number[],
  { check, device }: Pick<Candidate, 'check' | 'device'>,
): Waiting[] {
  const { release } = known.instance
  return [check, ...way].map((one) => {
    const step = release.checks[one]!
    return { step, questions: openQuestions(release, step, known, limits, device) }
  })
}

/** Results of each question that let every step go on which waits for it. */
function openingAll(release: CompiledRelease, waiting: readonly Waiting[]): Map<number, Set<string>> {
  const opening = new Map<number, Set<string>>()
  for (const { step, questions } of waiting)
    for (const question of questions) {
      const results = openingResults(release, step, question)
      if (results === undefined) continue
      const before = opening.get(question) ?? results
      opening.set(question, new Set([...results].filter((result) => before.has(result))))
    }
  return opening
}

/**
 * Chance that the answers to the questions on the way let a check be put, taken as independent of each other; 1 where
 * nothing is known of an answer, such as whether there is a danger: its sign ends the call anyhow.
 */
function chanceOf(
  state: SearchState,
  known: Chances,
  waiting: readonly Waiting[],
  device: string | undefined,
): Reached {
  const { release } = state.known.instance
  let [chance, work] = [1, 0]
  for (const [question, results] of openingAll(release, waiting)) {
    const { chances, work: own } = chancesOf(state, known, question, device)
    work += own
    if (isUntold(chances, results, release.checks[question]!)) continue
    chance *= Math.min(
      1,
      [...results].reduce((sum, result) => sum + (chances.get(result) ?? 0), 0),
    )
  }
  return { chance, work }
}

/**
 * What a check is expected to bring behind the questions that come before it, and to cost: they are put for certain, the
 * check only where their answers let it.
 *
 * bits = P(opens) gain, minutes = those of the questions + P(opens) those of the check
 */
export function expectedBehind(
  state: SearchState,
  known: Chances,
  { way, gainBits }: { way: readonly number[]; gainBits: number },
  candidate: Pick<Candidate, 'check' | 'device'>,
): { gainBits: number; minutes: number; work: number } {
  const { checks } = state.known.instance.release
  const own = costMinutes(checks[candidate.check]!)
  if (way.length === 0) return { gainBits, minutes: own, work: 0 }
  const waiting = waitingOn(state, way, candidate)
  const { chance, work } = chanceOf(state, known, waiting, candidate.device)
  const before = new Set([...way, ...waiting[0]!.questions])
  const minutes = [...before].reduce((sum, question) => sum + costMinutes(checks[question]!), chance * own)
  return { gainBits: chance * gainBits, minutes, work }
}
