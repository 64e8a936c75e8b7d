/** Preferred values of IEC 60063 (lists as reported): E24 and below by table, E48 and above by their formula. */

const E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]
export const SERIES = ['E3', 'E6', 'E12', 'E24', 'E48', 'E96', 'E192'] as const
export type Series = (typeof SERIES)[number]

/** E192 has one value that its formula does not give. */
const E192_EXCEPTION = { formula: 919, value: 920 }

/**
 * Values of one decade of a series, as whole numbers of two (to E24) or three digits.
 *
 * E48 to E192: round(10^(k / n), 3 significant figures); E24 is not given by its formula
 *
 * @source iec-60063 (lists as reported; formula checked against the list of E96)
 * @example seriesValues('E12') // [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]
 */
export function seriesValues(series: Series): number[] {
  const count = Number(series.slice(1))
  if (count <= 24) return E24.filter((_, index) => index % (24 / count) === 0)
  return Array.from({ length: count }, (_, index) => {
    const value = Math.round(100 * 10 ** (index / count))
    return value === E192_EXCEPTION.formula ? E192_EXCEPTION.value : value
  })
}

/** Values of a series around a value, with the neighbours in the next decades. */
function around(ohm: number, series: Series): number[] {
  const digits = Number(series.slice(1)) <= 24 ? 1 : 2
  const decade = Math.floor(Math.log10(ohm))
  return [decade - 1, decade, decade + 1].flatMap((power) =>
    seriesValues(series).map((value) => Number(`${value}e${power - digits}`)),
  )
}

/**
 * Preferred value nearest to a resistance by ratio, in ohm.
 *
 * smallest |ln(R / E)|, because the steps of a series are ratios
 *
 * @example nearestPreferred(4900, 'E24') // 5100
 */
export function nearestPreferred(ohm: number, series: Series): number {
  const distance = (value: number) => Math.abs(Math.log(ohm / value))
  return around(ohm, series).reduce((best, value) => (distance(value) < distance(best) ? value : best))
}

/** Whether a value belongs to a series. */
export const isPreferred = (ohm: number, series: Series): boolean =>
  around(ohm, series).some((value) => Math.abs(value / ohm - 1) < 1e-9)

/** Values of a series from low to high [Ohm]. */
export function preferredBetween(low: number, high: number, series: Series): number[] {
  const digits = Number(series.slice(1)) <= 24 ? 1 : 2
  const first = Math.floor(Math.log10(Math.max(low, 1e-3)))
  const last = Math.floor(Math.log10(high))
  return Array.from({ length: last - first + 1 }, (_, index) => first + index)
    .flatMap((power) => seriesValues(series).map((value) => Number(`${value}e${power - digits}`)))
    .filter((value) => value >= low && value <= high)
}
