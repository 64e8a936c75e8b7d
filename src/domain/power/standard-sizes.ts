/** Sizes in Ah that a published list names (a public exam-preparation page, as reported), and others met in the trade (common practice). */
export const STANDARD_SIZES_AH: readonly number[] = [1.2, 2.2, 4, 4.5, 5, 7, 7.2, 9, 10, 12, 17, 18, 26, 33, 40, 55, 65]

/** Smallest listed size that is not below the requirement; undefined above the list. Sizes are never rounded down. */
export function nextSizeAh(requiredAh: number, sizes: readonly number[] = STANDARD_SIZES_AH): number | undefined {
  return [...sizes].sort((a, b) => a - b).find((size) => size >= requiredAh * (1 - 1e-12))
}
