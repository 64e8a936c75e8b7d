import { createHash } from 'node:crypto'
import { availableParallelism, loadavg } from 'node:os'

const REPEATS = 15
const BYTES = Buffer.alloc(4_000_000, 7)

/** How busy the machine is with other work: the same piece of work, timed again and again. */
export function noiseTold(): string {
  const took = Array.from({ length: REPEATS }, () => {
    const begin = performance.now()
    createHash('sha256').update(BYTES).digest()
    return performance.now() - begin
  }).sort((a, b) => a - b)
  const [least, median, most] = [took[0]!, took[REPEATS >> 1]!, took.at(-1)!]
  const load = loadavg().map((value) => value.toFixed(1))
  return `${availableParallelism()} cores, load ${load.join(' ')}; the same work took ${least.toFixed(1)} to ${most.toFixed(1)} ms (median ${median.toFixed(1)})`
}
