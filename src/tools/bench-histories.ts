import { analyseHistory } from '../domain/histories/analyse-history.ts'
import type { HistoryEvent } from '../domain/histories/types.ts'
import { currentRelease } from '../ontology/release.ts'
import { analyseEvents } from '../services/histories/analyse-events.ts'
import { readCsvEvents } from '../services/histories/read-csv-events.ts'
import { PLAIN_STATES, resolveEvents } from '../services/histories/resolve-events.ts'
import { Wording } from '../services/texts.ts'
import { drawsFrom } from './cases/draws.ts'

/** Times and memory of the history core on made-up lists. Nothing here is asserted: both depend on the machine. */

const RUNS = 7
const MINUTE_MS = 60_000
const YEAR_MS = 365 * 86_400_000
const MEGABYTE = 1024 * 1024

/** Comings and goings of a number of points over five years, in local time. */
function listOf(events: number, points: number): HistoryEvent[] {
  const draw = drawsFrom(events + points)
  const spells = Array.from({ length: events / 2 }, (_, index) => {
    const clockMs = Date.UTC(2021, 0) + Math.floor((5 * YEAR_MS * draw()) / MINUTE_MS) * MINUTE_MS
    return { clockMs, endMs: clockMs + Math.ceil(30 * draw()) * MINUTE_MS, kind: `kind ${index % points}` }
  }).sort((a, b) => a.clockMs - b.clockMs)
  return spells.flatMap(({ clockMs, endMs, kind }): HistoryEvent[] => [
    { time: { clockMs }, kind, state: 'trouble' },
    { time: { clockMs: endMs }, kind, state: 'restore' },
  ])
}

function bench(events: number, points: number, zone: string | undefined): void {
  const list = listOf(events, points)
  const run = () =>
    analyseHistory({
      events: list,
      ...(zone !== undefined && { zone }),
      successions: [{ first: 'kind 0', second: 'kind 1', withinHours: 24 }],
      battery: { mains: 'kind 0', low: 'kind 1', load: { loadCurrentA: 0.4 } },
      mostSeries: 64,
    })
  const before = process.memoryUsage().heapUsed
  let most = before
  const times = Array.from({ length: RUNS }, () => {
    const start = performance.now()
    run()
    const elapsed = performance.now() - start
    most = Math.max(most, process.memoryUsage().heapUsed)
    return elapsed
  }).sort((a, b) => a - b)
  const what = `${events} events, ${points} series${zone === undefined ? '' : `, ${zone}`}`
  const heap = ((most - before) / MEGABYTE).toFixed(0)
  console.log(
    `${what.padEnd(44)} ${times[RUNS >> 1]!.toFixed(1).padStart(10)} ${times.at(-1)!.toFixed(1).padStart(10)} ${heap.padStart(9)}`,
  )
}

console.log(`${'event histories'.padEnd(44)}  median ms    most ms   heap MB`)
for (const events of [1000, 10_000, 100_000]) for (const points of [1, 50]) bench(events, points, undefined)
bench(100_000, 50, 'Europe/Madrid')
bench(100_000, 5000, undefined)

/** A log of lines, from the text to the sentences. */
function benchLines(lines: number): void {
  const wording = new Wording(currentRelease(), { tag: 'en-US', english: 'en-US' })
  const kinds = ['mains-missing', 'battery-low', 'phone-line-missing']
  const rows = listOf(lines, kinds.length).map(({ time, kind, state }) => {
    const at = new Date(time!.clockMs).toISOString().slice(0, 16)
    return `${at},condition/${kinds[Number(kind.split(' ')[1])]},${state}`
  })
  const text = `at,condition,state\n${rows.join('\n')}\n`
  const times = Array.from({ length: RUNS }, () => {
    const start = performance.now()
    const { events } = readCsvEvents(text, {})
    analyseEvents(wording, resolveEvents(wording, events, PLAIN_STATES), { mostSeries: 64 })
    return performance.now() - start
  }).sort((a, b) => a - b)
  console.log(
    `${lines} lines of CSV to sentences: median ${times[RUNS >> 1]!.toFixed(0)} ms, most ${times.at(-1)!.toFixed(0)} ms`,
  )
}

benchLines(100_000)
