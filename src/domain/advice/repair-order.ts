import { DomainError } from '../errors.ts'

/** One act of repair: what it costs and how likely it removes each fault. */
export interface RepairAction {
  /** Cost in one unit throughout (minutes, or money), above 0. */
  cost: number
  /** Probability that it removes each fault, one a fault. */
  fixes: readonly number[]
}

const SUM_TOLERANCE = 1e-9

function checkInput(faults: readonly number[], actions: readonly RepairAction[]): void {
  const total = faults.reduce((sum, probability) => sum + probability, 0)
  if (!(Math.abs(total - 1) <= SUM_TOLERANCE) || faults.some((probability) => !(probability >= 0)))
    throw new DomainError('QUANTITY_OUT_OF_RANGE', `probabilities of the single fault must add up to 1, got ${total}`, {
      limit: 1,
      value: total,
    })
  for (const { cost, fixes } of actions) {
    if (!(cost > 0 && cost < Number.POSITIVE_INFINITY))
      throw new DomainError('QUANTITY_OUT_OF_RANGE', `cost of an action must be finite and > 0, got ${cost}`, {
        value: cost,
      })
    if (fixes.length !== faults.length || fixes.some((probability) => !(probability >= 0 && probability <= 1)))
      throw new DomainError('QUANTITY_OUT_OF_RANGE', 'an action must have one probability in [0, 1] for each fault')
  }
}

const sumOf = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0)

/** Probability of each fault still being there after an action. */
const after = (standing: readonly number[], { fixes }: RepairAction) =>
  standing.map((probability, fault) => probability * (1 - fixes[fault]!))

const cleared = (standing: readonly number[], { fixes }: RepairAction) =>
  standing.reduce((sum, probability, fault) => sum + probability * fixes[fault]!, 0)

/**
 * Expected cost of a sequence of repairs, the system tested after each, in the unit of the costs.
 *
 * expected cost = sum over steps of cost(step) P(fault still there before the step)
 *
 * @param faults - probability of each fault, exactly one of which is there; together 1
 * @param actions - what can be done
 * @param sequence - indexes of actions in the order tried
 * @throws DomainError QUANTITY_OUT_OF_RANGE when probabilities or costs are out of range
 * @validity one fault; actions succeed independently of each other; costs do not depend on the order; a sequence that may
 * end with the fault still there is charged for its steps only
 * @source J. B. Kadane and H. A. Simon (1977); D. Heckerman, J. Breese and K. Rommelse (1995), from memory
 * @example expectedRepairCost([0.5, 0.5], [{ cost: 2, fixes: [1, 0] }, { cost: 4, fixes: [0, 1] }], [0, 1]) // 4
 */
export function expectedRepairCost(
  faults: readonly number[],
  actions: readonly RepairAction[],
  sequence: readonly number[],
): number {
  checkInput(faults, actions)
  let standing = faults
  let cost = 0
  for (const index of sequence) {
    const action = actions[index]!
    cost += action.cost * sumOf(standing)
    standing = after(standing, action)
  }
  return cost
}

/**
 * Order of repairs by efficiency: at each step the action with the highest probability of clearing per unit of cost.
 *
 * efficiency = P(action clears the fault that still stands) / cost
 *
 * @param faults - probability of each fault, exactly one of which is there; together 1
 * @param actions - what can be done
 * @returns indexes of actions; those that could clear nothing more are left out; ties go to the lower index
 * @throws DomainError QUANTITY_OUT_OF_RANGE when probabilities or costs are out of range
 * @validity of least expected cost when each action repairs one fault of its own; otherwise a good order, not the best
 * @source p/C ordering, J. B. Kadane and H. A. Simon (1977); D. Heckerman, J. Breese and K. Rommelse (1995), from memory
 * @example repairOrder([0.5, 0.5], [{ cost: 4, fixes: [1, 0] }, { cost: 2, fixes: [0, 1] }]) // [1, 0]
 */
export function repairOrder(faults: readonly number[], actions: readonly RepairAction[]): number[] {
  checkInput(faults, actions)
  const order: number[] = []
  let standing = faults
  for (;;) {
    let best = -1
    let bestRate = 0
    actions.forEach((action, index) => {
      const rate = order.includes(index) ? 0 : cleared(standing, action) / action.cost
      if (rate > bestRate * (1 + SUM_TOLERANCE)) {
        best = index
        bestRate = rate
      }
    })
    if (best < 0) return order
    order.push(best)
    standing = after(standing, actions[best]!)
  }
}
