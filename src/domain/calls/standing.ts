/** A report that a condition stands or does not, at its time. */
export interface StandingReport {
  condition: string
  device?: string
  isPresent: boolean
  /** Milliseconds since 1970-01-01T00:00Z. */
  at: number
}
/** A span in which a condition was reported to stand. */
export interface StandingSpan {
  condition: string
  device?: string
  from: number
  /** Absent while nothing ended it. */
  until?: number
}

/**
 * When each condition was reported to stand.
 *
 * @param reports - of conditions, in any order
 * @param clearedAt - moments [ms] at which everything was reported clear
 * @returns spans by their beginning; one that nothing ended has no end
 * @validity says what was reported, not what was: a trouble may have begun before anybody looked
 * @source judgement
 */
export function standingSpans(reports: readonly StandingReport[], clearedAt: readonly number[]): StandingSpan[] {
  const keyOf = ({ condition, device = '' }: StandingReport) => `${condition} ${device}`
  const keys = [...new Set(reports.map(keyOf))]
  return keys
    .flatMap((key) =>
      spansOf(
        reports.filter((report) => keyOf(report) === key),
        clearedAt,
      ),
    )
    .sort((a, b) => a.from - b.from || (a.condition < b.condition ? -1 : 1))
}

/** Spans of one condition: from the first report of it to the first end after that, and so on. */
function spansOf(reports: readonly StandingReport[], clearedAt: readonly number[]): StandingSpan[] {
  const { condition, device } = reports[0]!
  const marks = [
    ...reports.map(({ at, isPresent }) => ({ at, isPresent })),
    ...clearedAt.map((at) => ({ at, isPresent: false })),
  ].sort((a, b) => a.at - b.at || Number(b.isPresent) - Number(a.isPresent))
  const spans: StandingSpan[] = []
  for (const { at, isPresent } of marks) {
    const open = spans.at(-1)?.until === undefined ? spans.at(-1) : undefined
    if (isPresent && !open) spans.push({ condition, ...(device === undefined ? {} : { device }), from: at })
    if (!isPresent && open) open.until = at
  }
  return spans
}
