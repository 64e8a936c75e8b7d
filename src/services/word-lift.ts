import type { Advice } from '../domain/advice/advise.ts'
import { signOf } from '../domain/advice/first-questions.ts'
import type { Obstacle } from '../domain/advice/obstacles.ts'
import { liftsOf } from '../domain/advice/permit.ts'
import type { Check, Context, Hazard } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

/** That a danger has to be made sure of, and what is done until then. */
function wordUnsure(wording: Wording, check: number): string {
  const { compiled } = wording.release
  const { id } = compiled.checks[check]!
  const hazard = compiled.hazards[signOf(compiled.checks[check]!)!.hazard]!.id
  const { act, caution } = wording.concept<Hazard>(hazard)
  return `Make sure: ${wording.ask(wording.concept<Check>(id))} Until somebody knows: ${wording.say(act ?? caution)}`
}

function wordObstacle(wording: Wording, obstacle: Obstacle): string[] {
  const { ontology, compiled } = wording.release
  if ('unsure' in obstacle) return [wordUnsure(wording, obstacle.unsure)]
  const text =
    'gate' in obstacle
      ? ontology.gates.find(({ id }) => id === obstacle.gate)?.lift
      : wording.concept<Context>(compiled.contexts[obstacle.context]!.id).lift
  return text ? [wording.say(text)] : []
}

/** What the person at the site can do about each obstacle, each act once. */
export const wordLifts = (wording: Wording, obstacles: readonly Obstacle[]): string[] => [
  ...new Set(obstacles.flatMap((one) => wordObstacle(wording, one))),
]

/**
 * What holds the case up and can be lifted: before the remedies of a likely cause, else before any remedy, else before the
 * checks that would tell most. Where a technician has to come, only the first counts; where nothing fits, none.
 */
export function liftsToDo({ plan, likely, searched, stop }: Advice): Obstacle[] {
  if (stop === 'danger' || stop === 'does-not-fit') return []
  const ofLikely = plan.filter(({ remedy }) => likely.includes(remedy)).map(({ permit }) => permit)
  const ofOthers = [plan.map(({ permit }) => permit), searched.refused.map(({ permit }) => permit)]
  const held = stop === 'needs-technician' ? [ofLikely] : [ofLikely, ...ofOthers]
  return held.map((permits) => permits.flatMap(liftsOf)).find((lifts) => lifts.length > 0) ?? []
}
