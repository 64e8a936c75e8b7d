import { given } from '../given.ts'
import type { Candidate } from './candidates.ts'
import { resultsOf } from './check-results.ts'
import type { CompiledCheck, CompiledRelease, CompiledStep } from './compiled.ts'
import { oddsAnswers } from './odds-answers.ts'
import { openQuestions } from './permit.ts'
import { costMinutes, type SearchState } from './search-state.ts'
import { minutesTo } from './way-to.ts'

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

/**
 * Chance that the answers to the questions on the way let a check be put, taken as independent of each other; 1 where
 * nothing is known of an answer, such as whether there is a danger: its sign ends the call anyhow.
 */
function chanceOf(
  state: SearchState,
  known: Chances,
  way: readonly number[],
  { check, device }: Pick<Candidate, 'check' | 'device'>,
): Reached {
  const { release } = state.known.instance
  const opening = new Map<number, Set<string>>()
  for (const step of [check, ...way])
    for (const question of openQuestions(release, release.checks[step]!, state.known, state.limits, device)) {
      const results = openingResults(release, release.checks[step]!, question)
      if (results === undefined) continue
      const before = opening.get(question)
      opening.set(
        question,
        before === undefined ? results : new Set([...results].filter((result) => before.has(result))),
      )
    }
  let [chance, work] = [1, 0]
  for (const [question, results] of opening) {
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
  const all = minutesTo(state, way, candidate)
  if (way.length === 0) return { gainBits, minutes: all, work: 0 }
  const { chance, work } = chanceOf(state, known, way, candidate)
  const own = costMinutes(state.known.instance.release.checks[candidate.check]!)
  return { gainBits: chance * gainBits, minutes: all - (1 - chance) * own, work }
}
