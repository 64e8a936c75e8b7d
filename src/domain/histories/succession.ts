import { binomialUpperTail } from './binomial.ts'
import { medianOf } from './pair.ts'
import type { Span } from './types.ts'

const HOUR_MS = 3_600_000

/** Below this number of first events nothing is tested. Judgement. */
export const LEAST_WINDOWS = 3
/** Stands for none at all outside the windows: half an event (Jeffreys), from memory. */
const NONE_COUNTS_AS = 0.5

export interface Succession {
  /** Times after the first event, overlapping ones merged. */
  windows: number
  /** Windows in which the second event began. */
  followed: number
  /** Share of windows in which it would begin by accident. */
  chance: number
  medianLagHours?: number
  /** Probability of so many or more by accident; none for too few windows. */
  p?: number
}

function mergedWindows(firsts: readonly number[], lengthMs: number, endMs: number): Span[] {
  const windows: Span[] = []
  for (const fromMs of firsts) {
    const toMs = Math.min(fromMs + lengthMs, endMs)
    const last = windows.at(-1)
    if (last && fromMs <= last.toMs) last.toMs = toMs
    else windows.push({ fromMs, toMs })
  }
  return windows
}

/** The latest first event at or before each second one within a window, as a lag [h]; the first second event of a window counts. */
function lagsOf(windows: readonly Span[], firsts: readonly number[], seconds: readonly number[]) {
  const lags: number[] = []
  let inside = 0
  let [second, first] = [0, 0]
  for (const { fromMs, toMs } of windows) {
    while (second < seconds.length && seconds[second]! < fromMs) second++
    const begin = second
    while (second < seconds.length && seconds[second]! <= toMs) second++
    inside += second - begin
    if (second === begin) continue
    while (first + 1 < firsts.length && firsts[first + 1]! <= seconds[begin]!) first++
    lags.push((seconds[begin]! - firsts[first]!) / HOUR_MS)
  }
  return { lags, inside }
}

/**
 * Whether one kind of event follows another more often than by accident.
 *
 * windows of H after each first event, merged where they overlap; chance = mean of 1 - exp(-rate * window), the rate
 * taken from the time outside the windows; p = upper tail of the binomial distribution
 *
 * @param firsts - starts of the first kind [ms], in order
 * @param seconds - starts of the second kind [ms], in order
 * @param withinHours - H [h], > 0, fixed before looking
 * @param watch - time under watch [ms]
 * @returns counts, lag and probability
 * @validity second events independent of each other outside the windows; the mean chance makes p no smaller than unequal windows would (Hoeffding 1956, from memory)
 * @source own-derivation: binomial tail against a Poisson background
 * @example succession([0, 86400000, 172800000], [3600000], 4, { fromMs: 0, toMs: 259200000 }).followed // 1
 */
export function succession(
  firsts: readonly number[],
  seconds: readonly number[],
  withinHours: number,
  watch: Span,
): Succession {
  const windows = mergedWindows(firsts, withinHours * HOUR_MS, watch.toMs)
  const { lags, inside } = lagsOf(windows, firsts, seconds)
  const covered = windows.reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0)
  const outsideMs = watch.toMs - watch.fromMs - covered
  const outside = seconds.length - inside
  const ratePerMs = outsideMs > 0 ? Math.max(outside, NONE_COUNTS_AS) / outsideMs : Number.POSITIVE_INFINITY
  const chances = windows.map(({ fromMs, toMs }) => (toMs > fromMs ? -Math.expm1(-ratePerMs * (toMs - fromMs)) : 0))
  const chance = windows.length === 0 ? 0 : chances.reduce((sum, each) => sum + each, 0) / windows.length
  const medianLagHours = medianOf(lags.sort((a, b) => a - b))
  return {
    windows: windows.length,
    followed: lags.length,
    chance,
    ...(medianLagHours !== undefined && { medianLagHours }),
    ...(windows.length >= LEAST_WINDOWS && { p: binomialUpperTail(lags.length, windows.length, chance) }),
  }
}
