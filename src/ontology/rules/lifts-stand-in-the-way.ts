import type { Rule } from './rule.ts'

/** Somebody who is elsewhere can do nothing at the alarm, whatever the step. */
const REMOTE = 'context/caller-remote'

/** What says how it is lifted stands in the way of something: a hazard stops at it, a gate closes on it, or it is the place of the caller. */
export const liftsStandInTheWay: Rule = ({ context, hazard, gates }) => {
  const stops = new Set(hazard.flatMap(({ stopIf }) => stopIf))
  const dimensionOf = new Map(context.map(({ id, dimension }) => [id, dimension]))
  const closing = new Set(gates.flatMap(({ needs }) => needs.map((id) => dimensionOf.get(id))))
  return context
    .filter(({ id, lift }) => lift !== undefined && id !== REMOTE && !stops.has(id))
    .filter(({ dimension }) => dimension === undefined || !closing.has(dimension))
    .map(({ id }) => ({
      rule: 'lifts-stand-in-the-way',
      id,
      message: 'says how it is lifted, and stands in the way of nothing',
      remedy: 'Name it in stopIf of a hazard, or take lift away',
    }))
}
