import type { Rule } from './rule.ts'

/** Every hazard names the circumstances that forbid a step, or a danger question asks for its sign. */
export const hazardsCanStop: Rule = ({ hazard, check }) => {
  const signed = new Set(check.flatMap(({ model }) => (model.kind === 'danger' ? [model.hazard] : [])))
  return hazard
    .filter(({ id, stopIf }) => stopIf.length === 0 && !signed.has(id))
    .map(({ id }) => ({
      rule: 'hazards-can-stop',
      id,
      message: 'has neither stopIf nor a danger question for its sign',
      remedy: 'Add the contexts that forbid a step, or a check of model danger',
    }))
}
