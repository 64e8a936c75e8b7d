import type { CompiledRemedy } from './compiled.ts'

/** Minutes that a cost band counts for beside the time it takes. Judgement: a policy, not a fact. */
const COST_MINUTES = { none: 0, low: 5, medium: 15, high: 30, visit: 60 } as const
/** Minutes that any remedy takes on top: explaining it and reading the display again. Judgement. */
const OVERHEAD_MINUTES = 5

/** What a remedy costs, in minutes: its own, its cost band's, and the overhead. */
export const remedyCostMinutes = ({ minutes, cost }: CompiledRemedy): number =>
  OVERHEAD_MINUTES + minutes + COST_MINUTES[cost]
