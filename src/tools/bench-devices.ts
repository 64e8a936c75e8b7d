import { execFileSync } from 'node:child_process'
import { type AdviseInput, advise } from '../domain/advice/advise.ts'
import type { Finding } from '../domain/findings/finding.ts'
import { currentRelease } from '../ontology/release.ts'

/** Whole answers of the core to calls about many devices, and the first one in a fresh process. Nothing here is asserted. */

const DEVICES = [1, 8, 32, 64]
const CONDITION = 'condition/radio-device-missing'
const ROUNDS = 12
const FRESH_PROCESSES = 5

const milliseconds = (run: () => unknown): number => {
  const start = process.hrtime.bigint()
  run()
  return Number(process.hrtime.bigint() - start) / 1e6
}

const middle = (values: readonly number[]) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!
const span = (values: readonly number[]) =>
  `least ${Math.min(...values).toFixed(2)} ms, median ${middle(values).toFixed(2)} ms`

/** A computation that never changes: what its time varies by is the machine's. */
function fixedComputation(): number {
  let sum = 0
  for (let value = 0; value < 500_000; value++) sum += Math.sqrt(value)
  return sum
}

function missing(devices: number): Finding[] {
  return Array.from({ length: devices }, (_, number) => ({
    kind: 'condition',
    condition: CONDITION,
    state: 'present',
    device: `device ${number + 1}`,
  }))
}

/** Rounds go through all numbers of devices in turn, so that a busy moment falls on each of them. */
export function benchDevices(): void {
  const { compiled: release } = currentRelease()
  const inputs = DEVICES.map(
    (devices): AdviseInput => ({ release, findings: missing(devices), limits: { who: 'caller', tools: [] } }),
  )
  const fixed: number[] = []
  const times = inputs.map((): number[] => [])
  for (let round = 0; round < ROUNDS; round++) {
    fixed.push(milliseconds(fixedComputation))
    inputs.forEach((input, at) => times[at]!.push(milliseconds(() => advise(input))))
  }
  inputs.forEach((input, at) => {
    const { evaluated, of } = advise(input).searched
    const what = `${DEVICES[at]} radio devices missing`
    console.log(`${what.padEnd(36)} ${span(times[at]!)}; checks evaluated ${evaluated} of ${of}`)
  })
  console.log(`${'a fixed computation (noise)'.padEnd(36)} ${span(fixed)}`)
}

const FIRST_ANSWER = `
  const start = performance.now()
  const { currentRelease } = await import('./src/ontology/release.ts')
  const { advise } = await import('./src/domain/advice/advise.ts')
  const loaded = performance.now()
  const { compiled: release } = currentRelease()
  const parsed = performance.now()
  const input = { release, findings: FINDINGS, limits: { who: 'handy', tools: ['multimeter', 'tape'] } }
  advise(input)
  const first = performance.now()
  advise(input)
  console.log(JSON.stringify([loaded - start, parsed - loaded, first - parsed, performance.now() - first]))`

/** What a fresh process spends until its first answer; types are stripped as it loads, which a bundle does not need. */
export function benchColdStart(findings: readonly Finding[]): void {
  const script = FIRST_ANSWER.replace('FINDINGS', JSON.stringify(findings))
  const runs = Array.from(
    { length: FRESH_PROCESSES },
    () =>
      JSON.parse(
        execFileSync(process.execPath, ['--input-type=module', '-e', script], { encoding: 'utf8' }),
      ) as number[],
  )
  for (const [at, what] of ['modules loaded', 'release parsed', 'first answer', 'second answer'].entries())
    console.log(`${`fresh process: ${what}`.padEnd(36)} ${span(runs.map((run) => run[at]!))}`)
}
