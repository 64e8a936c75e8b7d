import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { matchParts } from '../domain/parts/match.ts'
import { currentRelease } from '../ontology/release.ts'
import { commitImport, isRefused, openImport, putPart } from '../services/catalogue/imports.ts'
import { searchCatalogue } from '../services/catalogue/search.ts'
import { createKey } from '../services/keys.ts'
import { shopPort } from '../services/shop-port.ts'
import { type Database, openDatabase } from '../store/open.ts'
import { drawsFrom, syntheticItem, syntheticRequirement } from './catalogue/synthetic.ts'

/**
 * npm run bench:catalogue -- [--items 100000] [--shops 10] [--rounds 300]: import, match and search over shops that share one
 * database. Beside each figure stands how long the same fixed sum takes before and after: the noise of the machine.
 */

const { values } = parseArgs({
  options: {
    items: { type: 'string', default: '100000' },
    shops: { type: 'string', default: '10' },
    rounds: { type: 'string', default: '300' },
  },
})
const [ITEMS, SHOPS, ROUNDS] = [Number(values.items), Number(values.shops), Number(values.rounds)]
const release = currentRelease()

/** How long a fixed sum takes [ms]: on a quiet machine always the same. */
function noiseMs(): number {
  const start = performance.now()
  let sum = 0
  for (let index = 0; index < 5_000_000; index++) sum = (sum + Math.imul(index, 2_654_435_761)) | 0
  if (sum === 42) console.log('')
  return performance.now() - start
}

async function* csvOf(seed: number): AsyncGenerator<Uint8Array> {
  const draw = drawsFrom(seed)
  const encoder = new TextEncoder()
  const names = [
    'nominalVoltageV',
    'capacityAh',
    'lengthMm',
    'widthMm',
    'heightMm',
    'terminal',
    'chemistry',
    'resistanceOhm',
    'powerW',
    'toleranceFraction',
    'voltageKind',
    'inputVoltageV',
    'outputVoltageV',
    'apparentPowerVA',
    'currentA',
    'sizeName',
    'ratedCurrentA',
    'fuseSpeed',
    'bandMHz',
  ]
  yield encoder.encode(`sku,title,part_class,price,currency,stock,pack_quantity,${names.join(',')}\n`)
  for (let start = 0; start < ITEMS; start += 1000) {
    let text = ''
    for (let index = start; index < Math.min(start + 1000, ITEMS); index++) {
      const { sku, title, partClass, priceMinor = 0, stock, attributes } = syntheticItem(draw, index)
      text += `${sku},${title},${partClass},${(priceMinor / 100).toFixed(2)},EUR,${stock},1,${names.map((name) => attributes[name] ?? '').join(',')}\n`
    }
    yield encoder.encode(text)
  }
}

/** Highest resident memory while something runs [MB]. */
async function withPeak<T>(run: () => Promise<T>): Promise<[T, number]> {
  let peak = process.memoryUsage().rss
  const watch = setInterval(() => {
    peak = Math.max(peak, process.memoryUsage().rss)
  }, 20)
  const result = await run()
  clearInterval(watch)
  return [result, Math.max(peak, process.memoryUsage().rss) / 2 ** 20]
}

async function importShop(database: Database, shop: string, seed: number, isReadingTitles: boolean) {
  const cpu = process.cpuUsage()
  const start = performance.now()
  const opened = await openImport(
    database,
    shop,
    { mode: 'partial', readTitles: isReadingTitles },
    { id: crypto.randomUUID(), now: Date.now() },
  )
  if (isRefused(opened)) throw new Error(opened.why)
  const target = { importId: opened.id, part: 1, uploadId: crypto.randomUUID() }
  await putPart(database, release, shop, target, { bytes: csvOf(seed), format: 'csv' }, Date.now)
  const staged = performance.now()
  const ended = await commitImport(database, shop, opened.id, { now: Date.now() })
  const { user, system } = process.cpuUsage(cpu)
  const outcome = isRefused(ended) ? ended.why : JSON.stringify(ended.outcome)
  return { read: staged - start, swap: performance.now() - staged, cpu: (user + system) / 1000, outcome }
}

const atShare = (sorted: readonly number[], share: number) =>
  sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))]!

async function timed(name: string, run: (round: number) => Promise<unknown>): Promise<void> {
  const before = noiseMs()
  for (let round = 0; round < 20; round++) await run(round)
  const times: number[] = []
  const cpu = process.cpuUsage()
  for (let round = 0; round < ROUNDS; round++) {
    const start = performance.now()
    await run(round)
    times.push(performance.now() - start)
  }
  const { user, system } = process.cpuUsage(cpu)
  const cpuMs = (user + system) / 1000 / ROUNDS
  times.sort((a, b) => a - b)
  const [p50, p99] = [atShare(times, 0.5), atShare(times, 0.99)]
  console.log(
    `${name}: p50 ${p50.toFixed(2)} ms, p99 ${p99.toFixed(2)} ms, CPU ${cpuMs.toFixed(2)} ms each (noise ${before.toFixed(1)} to ${noiseMs().toFixed(1)} ms)`,
  )
}

const folder = mkdtempSync(join(tmpdir(), 'bench-catalogue-'))
const file = join(folder, 'shops.db')
try {
  const database = await openDatabase(`file:${file}`)
  const shops = Array.from({ length: SHOPS }, (_, index) => `shop-${index}`)
  for (const [index, shop] of shops.entries()) {
    await createKey(database, shop, ['catalogue'], 0)
    const noise = noiseMs()
    const [{ read, swap, cpu, outcome }, peak] = await withPeak(() =>
      importShop(database, shop, index + 1, index === 0),
    )
    console.log(
      `import of ${ITEMS} rows into ${shop}${index === 0 ? ', titles read' : ''}: read and stage ${read.toFixed(0)} ms, commit ${swap.toFixed(0)} ms, CPU ${cpu.toFixed(0)} ms, peak memory ${peak.toFixed(0)} MB (noise ${noise.toFixed(1)} ms) ${outcome}`,
    )
  }
  const again = await importShop(database, shops[0]!, 1, true)
  console.log(
    `the same import again: read ${again.read.toFixed(0)} ms, commit ${again.swap.toFixed(0)} ms, ${again.outcome}`,
  )
  console.log(`${SHOPS} shops of ${ITEMS} items: ${(statSync(file).size / 2 ** 20).toFixed(0)} MB`)

  const port = shopPort(database)
  const draw = drawsFrom(7)
  await timed('match over a catalogue, narrowing and judging', async (round) => {
    const requirement = syntheticRequirement(draw)
    matchParts(requirement, await port.candidates(shops[round % SHOPS]!, requirement))
  })
  const questions = [
    'standby battery',
    '7ah',
    'vrla battery black',
    'S-004711',
    'coin cell cr2032',
    'sounder ivory model 12',
    'resist',
    'durable keypad',
  ]
  for (const question of questions)
    await timed(`search for "${question}"`, (round) =>
      searchCatalogue(database, shops[round % SHOPS]!, question, {}, 20),
    )
  await timed('search with a misspelt word', (round) =>
    searchCatalogue(database, shops[round % SHOPS]!, 'durabel keypad', {}, 20),
  )
  database.client.close()
} finally {
  rmSync(folder, { recursive: true, force: true })
}
