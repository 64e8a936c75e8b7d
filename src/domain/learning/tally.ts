import { type CauseAt, judgeOutcome, type LearningFacts, type Outcome, REASONS, type Reason } from './outcome.ts'

/** Calls, or copies of a device in calls: those whose causes are known, and those whose causes are not. */
export interface Exposure {
  known: number
  unknown: number
}
/** What the calls tell of one cause, under the id that was confirmed; a count that is not there is 0. */
export interface CauseCount {
  cause: string
  confirmed: number
  /** Times it was named without enough to count it. */
  claimed?: number
  /** Those of the claims that fell in a call whose other causes are known. */
  claimedAmongKnown?: number
}
export interface MonthCount {
  /** Months since January 1970. */
  month: number
  calls: Exposure
  devices: Exposure
  /** By id. */
  causes: CauseCount[]
}
/** Whole numbers only, so that no order of the outcomes can change a digit. */
export interface Tally {
  /** Oldest first. */
  months: MonthCount[]
  notCounted: { reason: Reason; count: number }[]
}

const MS_A_DAY = 86_400_000

/** Civil year and month of a moment in UTC (days to civil, proleptic Gregorian), as months since January 1970. */
export function monthOf(ms: number): number {
  const days = Math.floor(ms / MS_A_DAY) + 719_468
  const era = Math.floor(days / 146_097)
  const dayOfEra = days - era * 146_097
  const yearOfEra = Math.floor(
    (dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36_524) - Math.floor(dayOfEra / 146_096)) / 365,
  )
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100))
  const shifted = Math.floor((5 * dayOfYear + 2) / 153)
  const month = shifted < 10 ? shifted + 2 : shifted - 10
  const year = yearOfEra + era * 400 + (month <= 1 ? 1 : 0)
  return (year - 1970) * 12 + month
}

const emptyMonth = (month: number) => ({
  month,
  calls: { known: 0, unknown: 0 },
  devices: { known: 0, unknown: 0 },
  causes: new Map<string, CauseCount>(),
})

function countOf(causes: Map<string, CauseCount>, { cause }: CauseAt): CauseCount {
  const known = causes.get(cause) ?? { cause, confirmed: 0 }
  causes.set(cause, known)
  return known
}

const byText = (a: string, b: string) => Number(a > b) - Number(a < b)

/**
 * Counts closed calls by calendar month (UTC) and cause.
 *
 * @param window - outcomes closed from `from` on and before `before` [ms since 1970]
 * @returns the same for every order of the outcomes
 */
export function tallyOutcomes(
  outcomes: readonly Outcome[],
  facts: LearningFacts,
  { from = Number.NEGATIVE_INFINITY, before = Number.POSITIVE_INFINITY }: { from?: number; before?: number } = {},
): Tally {
  const months = new Map<number, ReturnType<typeof emptyMonth>>()
  const reasons = new Map<Reason, number>()
  for (const outcome of outcomes) {
    if (outcome.closedAt < from || outcome.closedAt >= before) continue
    const at = monthOf(outcome.closedAt)
    const month = months.get(at) ?? emptyMonth(at)
    months.set(at, month)
    const { isCounted, counted, claimed, devices, reasons: why } = judgeOutcome(outcome, facts)
    const side = isCounted ? 'known' : 'unknown'
    month.calls[side]++
    month.devices[side] += devices
    for (const one of counted) countOf(month.causes, one).confirmed++
    for (const one of claimed) {
      const count = countOf(month.causes, one)
      count.claimed = (count.claimed ?? 0) + 1
      if (isCounted) count.claimedAmongKnown = (count.claimedAmongKnown ?? 0) + 1
    }
    for (const reason of why) reasons.set(reason, (reasons.get(reason) ?? 0) + 1)
  }
  return {
    months: [...months.values()]
      .sort((a, b) => a.month - b.month)
      .map(({ causes, ...rest }) => ({
        ...rest,
        causes: [...causes.values()].sort((a, b) => byText(a.cause, b.cause)),
      })),
    notCounted: REASONS.flatMap((reason) => {
      const count = reasons.get(reason)
      return count === undefined ? [] : [{ reason, count }]
    }),
  }
}
