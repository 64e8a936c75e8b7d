import { kendallTwoSided, risingPairs } from './kendall.ts'
import { medianOf } from './pair.ts'

export interface Slope {
  /** Change of y for one unit of x. */
  slope: number
  /** Rising less falling pairs, as a share of all: -1 to 1. */
  tau: number
  p: number
}

/**
 * Middle of the slopes of all pairs of points, with Kendall's probability that values without a trend rise or fall as
 * much.
 *
 * slope = median of (y_j - y_i) / (x_j - x_i);  equal values count half as a rise
 *
 * @param x - rising, no two alike
 * @param y - one for each x, at least 2
 * @validity few points with outliers; p is exact without equal values, up to 40 points
 * @source Theil (1950), Sen (1968), Kendall (1938), from memory
 * @example theilSen([0, 1, 2, 3], [10, 8, 7, 5]).slope // -1.583
 */
export function theilSen(x: readonly number[], y: readonly number[]): Slope {
  const n = x.length
  const slopes: number[] = []
  for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) slopes.push((y[j]! - y[i]!) / (x[j]! - x[i]!))
  const all = slopes.length
  const rising = risingPairs(y)
  const falling = risingPairs(y.toReversed())
  return {
    slope: medianOf(slopes.sort((a, b) => a - b))!,
    tau: (rising - falling) / all,
    p: kendallTwoSided(n, rising + (all - rising - falling) / 2),
  }
}
