import type { HistoryAnalysis } from '../../domain/histories/analyse-history.ts'
import { startsOf } from '../../domain/histories/pair.ts'
import type { JudgedSeries } from '../../domain/histories/series.ts'
import type { Release } from '../../ontology/release.ts'
import type { Check } from '../../ontology/shape.ts'
import { type Pattern, patternOf } from './pattern.ts'
import type { Kind } from './resolve-events.ts'
import { MAINS } from './successions.ts'

/** A finding as a diagnosis takes it, with the reason. */
export interface ProposedFinding {
  finding: { kind: 'answer'; check: string; result: string; device?: string; reliability: number; source: string }
  because: string
}

const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS
const DAY_MS = 24 * HOUR_MS

/** A pattern that chance would seldom give is still no certainty. Judgement. */
const MOST_RELIABLE = 0.95
/** What can be read off the list directly, times being as its clock wrote them. Judgement. */
const READ_OFF = 0.9
/** Whole intervals that "comes and goes" needs. Judgement. */
const LEAST_WHOLE = 3
/** "Within a minute or two", as the question puts it. */
const BRIEF_MS = 2 * MINUTE_MS
/** Radio cells work on for some weeks after the first warning: 7 to 60 days, common practice. */
const WARNED_WITHIN_MS = 60 * DAY_MS

/** Kinds that a system's own battery test brings on at its fixed hour. */
const TESTED_AT_AN_HOUR = ['condition/battery-low', 'condition/battery-test-failed', 'condition/battery-missing']
/** The item that the question about the same hour of the night was written for. */
const IP_PATH = 'condition/ip-path-down'
const RADIO_CELL_LOW = [
  'condition/radio-key-battery-low',
  'condition/radio-keypad-battery-low',
  'condition/radio-sensor-battery-low',
  'condition/radio-sounder-battery-low',
]

interface Known extends JudgedSeries {
  condition: string
  label: string
  family: string | undefined
}
interface Proposal {
  check: string
  result: string
  reliability: number
  because: string
  device?: string
}

const reliabilityOf = ({ test }: Pattern) => Math.min(MOST_RELIABLE, 1 - test.adjustedP)

/** Half of the times or more it went away again; nothing to the contrary where the list keeps no restores. */
const goesByItself = ({ keepsRestores, durations, starts }: JudgedSeries) =>
  !keepsRestores || durations.whole >= starts.length / 2

/** One fact is one finding: the question that asks most exactly for this kind of item, never two for the same hour. */
function ofTheHour(series: Known): Proposal[] {
  const pattern = patternOf(series)
  if (pattern?.kind !== 'fixed-hour' && pattern?.kind !== 'night') return []
  const reliability = reliabilityOf(pattern)
  const because = `${series.label}: ${pattern.kind === 'night' ? 'most starts fall in the night' : 'most starts fall at one hour of the day'}`
  const propose = (check: string, result: string) => ({ check, result, reliability, because })
  // A fixed hour of a battery item may be the hour of the system's own test, and says nothing of the night.
  if (TESTED_AT_AN_HOUR.includes(series.condition))
    return pattern.kind === 'fixed-hour' ? [propose('check/battery-test-hour', 'same-hour')] : []
  if (!goesByItself(series)) return []
  if (pattern.kind === 'fixed-hour' && series.condition === MAINS)
    return [propose('check/ask-outage-hours', 'same-hours')]
  if (pattern.kind === 'fixed-hour' && series.condition === IP_PATH) return [propose('check/ask-same-hour', 'yes')]
  return [propose('check/ask-pattern', 'at-night')]
}

/** What the intervals themselves answer. */
function ofTheDurations({
  condition,
  label,
  family,
  device,
  durations: { whole, medianMs = 0, longestMs = 0 },
}: Known): Proposal[] {
  const propose = (check: string, result: string, because: string) => ({
    check,
    result,
    reliability: READ_OFF,
    because: `${label}: ${because}`,
    ...(device !== undefined && { device }),
  })
  if (whole === 0) return []
  if (condition === MAINS && medianMs <= BRIEF_MS)
    return [propose('check/brief-dip-history', 'brief', 'gone and back within two minutes, half of the times or more')]
  if (whole < LEAST_WHOLE) return []
  if (condition === 'condition/phone-line-missing' && longestMs <= HOUR_MS)
    return [propose('check/line-clears-itself', 'yes', 'it went away within an hour each time')]
  if (family === 'loop-and-detector' && device !== undefined)
    return [propose('check/zone-comes-and-goes', 'comes-and-goes', 'it came and went several times')]
  return []
}

/** A warning of the cell in the weeks before the same device fell silent. */
function ofTheCell(missing: Known, all: readonly Known[]): Proposal[] {
  const { device, condition, label } = missing
  if (condition !== 'condition/radio-device-missing' || device === undefined) return []
  const warnings = all.filter((series) => series.device === device && RADIO_CELL_LOW.includes(series.condition))
  const latest = startsOf(missing).at(-1)?.atMs ?? Number.NEGATIVE_INFINITY
  const warned = warnings.flatMap(startsOf).some(({ atMs }) => atMs <= latest && latest - atMs <= WARNED_WITHIN_MS)
  if (!warned) return []
  const because = `${label}: the same device warned of its cell within 60 days before`
  return [{ check: 'check/battery-warning-before', result: 'warned', reliability: READ_OFF, because, device }]
}

function knownSeries(release: Release, analysis: HistoryAnalysis, kinds: ReadonlyMap<string, Kind>): Known[] {
  return analysis.series.flatMap((series) => {
    const { condition, label } = kinds.get(series.kind)!
    if (condition === undefined) return []
    const family = (release.concepts.get(condition)?.concept as { family?: string } | undefined)?.family
    return [{ ...series, condition, label, family }]
  })
}

/** The finding, where the release has the check with that result; a device only where the check asks about one. */
function findingOf(release: Release, { because, device, ...proposal }: Proposal): ProposedFinding[] {
  const found = release.concepts.get(proposal.check)
  const check = found?.kind === 'check' ? (found.concept as Check) : undefined
  if (!check?.results.some(({ id }) => id === proposal.result)) return []
  const isPerDevice = check.scope === 'device'
  const finding = {
    kind: 'answer' as const,
    ...proposal,
    ...(isPerDevice && device !== undefined ? { device } : {}),
    source: 'event history',
  }
  return [{ finding, because }]
}

/**
 * Answers to questions of the ontology that the list itself gives: patterns only where they stand among all tests made.
 * Each question is answered once, by the series that answers it most reliably.
 */
export function proposeFindings(
  release: Release,
  analysis: HistoryAnalysis,
  kinds: ReadonlyMap<string, Kind>,
): ProposedFinding[] {
  const all = knownSeries(release, analysis, kinds)
  const proposed = all
    .flatMap((series) => [...ofTheHour(series), ...ofTheDurations(series), ...ofTheCell(series, all)])
    .flatMap((proposal) => findingOf(release, proposal))
    .sort((a, b) => b.finding.reliability - a.finding.reliability)
  const answered = new Set<string>()
  return proposed.filter(({ finding: { check, device = '' } }) => {
    const question = `${check} ${device}`
    const isNew = !answered.has(question)
    answered.add(question)
    return isNew
  })
}
