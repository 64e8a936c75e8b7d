/**
 * Linear interpolation between the points of a table.
 *
 * y = y1 + (y2 - y1) * (x - x1) / (x2 - x1)
 *
 * @param points - [x, y] with ascending x, at least two
 * @returns y at x; undefined when x lies outside the points
 * @validity between the first and the last point; never beyond
 * @source own-derivation, elementary
 * @example interpolate([[0, 1], [10, 2]], 5) // 1.5
 */
export function interpolate(points: readonly (readonly [x: number, y: number])[], x: number): number | undefined {
  for (let index = 1; index < points.length; index++) {
    const [x1, y1] = points[index - 1]!
    const [x2, y2] = points[index]!
    if (x >= x1 && x <= x2) return x2 === x1 ? y1 : y1 + ((y2 - y1) * (x - x1)) / (x2 - x1)
  }
  return undefined
}
