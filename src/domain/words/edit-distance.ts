/**
 * Number of single-letter edits between two words: a letter left out, put in or changed, or two neighbors swapped.
 *
 * d(i, j) = min(d(i-1, j) + 1, d(i, j-1) + 1, d(i-1, j-1) + [a_i != b_j], d(i-2, j-2) + 1 where the pair is swapped)
 *
 * @param most - the answer is `most + 1` as soon as it must be more than this
 * @returns the distance, at most `most + 1`
 * @validity the restricted form: no letter is edited twice
 * @source Damerau 1964, Levenshtein 1966 (optimal string alignment), from memory
 * @example editDistance('batery', 'battery', 2) // 1
 */
export function editDistance(a: string, b: string, most: number): number {
  if (Math.abs(a.length - b.length) > most) return most + 1
  let beforeLast: number[] = []
  let last = Array.from({ length: b.length + 1 }, (_, column) => column)
  for (let row = 1; row <= a.length; row++) {
    const current = [row]
    for (let column = 1; column <= b.length; column++) {
      const isSame = a[row - 1] === b[column - 1]
      const isSwapped = row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1]
      const plain = Math.min(last[column]! + 1, current[column - 1]! + 1, last[column - 1]! + (isSame ? 0 : 1))
      current.push(isSwapped ? Math.min(plain, beforeLast[column - 2]! + 1) : plain)
    }
    if (Math.min(...current) > most) return most + 1
    beforeLast = last
    last = current
  }
  return Math.min(last[b.length]!, most + 1)
}
