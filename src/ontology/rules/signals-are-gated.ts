import type { Check, Remedy } from '../shape.ts'
import type { Rule } from './rule.ts'

const SIGNALS = 'hazard/monitored-system-signals'

/** A step of a caller or handy person that can send a signal disturbs something that a gate knows; the question that a gate asks is free. */
export const signalsAreGated: Rule = ({ check, remedy, gates }) => {
  const gated = new Set<string>(gates.filter(({ place }) => place === undefined).flatMap(({ disturbs }) => disturbs))
  const asked = new Set(gates.map(({ ask }) => ask))
  const isOpen = ({ id, who, hazards, disturbs }: Check | Remedy) =>
    who !== 'technician' && hazards.includes(SIGNALS) && !asked.has(id) && !disturbs.some((part) => gated.has(part))
  return [...check, ...remedy].filter(isOpen).map(({ id }) => ({
    rule: 'signals-are-gated',
    id,
    message: `names ${SIGNALS}, and no gate knows what it disturbs`,
    remedy: 'Add what it disturbs, signal where it is nothing else, or take the hazard away from what only looks',
  }))
}
