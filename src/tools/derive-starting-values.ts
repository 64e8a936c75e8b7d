import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { adjustPrior } from '../domain/diagnosis/adjust-prior.ts'
import { readSource } from '../ontology/read-source.ts'
import type { Ontology } from '../ontology/shape.ts'
import {
  buildNetwork,
  compareWithSource,
  type RawCause,
  type ShareTableRow,
  ShareTableSchema,
  shareRow,
  sourceText,
  withFittedNumbers,
} from './share-table.ts'
import { alsoShown, type FitNetwork, fitStartingValues, posteriorOf, reportRow } from './starting-values.ts'

/**
 * Prints how well the ontology's numbers can meet the stated shares; with --write puts the fitted numbers into the
 * source. Never part of the build: people edit the numbers afterwards, and --write would take their edits away.
 */

/** Background above this part of the prevalence is worth a line. Judgement. */
const LEAK_FRACTION_LIMIT = 0.1

const percent = (value: number) => `${(100 * value).toFixed(2)} %`
const rms = (values: number[]) => Math.sqrt(values.reduce((sum, value) => sum + value ** 2, 0) / values.length)

function printFit(fitted: FitNetwork): void {
  const reports = fitted.conditions.filter((one) => one.prevalence !== undefined).map((one) => reportRow(fitted, one))
  console.log('"other-fault" causes: the share is what they bring about; present by chance comes on top of it')
  console.log('condition: prevalence wanted, reached; share error in points: root mean square, worst')
  for (const report of reports) {
    const prevalence = `${percent(report.wantedPrevalence)}, ${percent(report.prevalence)}`
    const worst = `${(100 * report.worstShareError).toFixed(2)} ${report.worstCause}`
    console.log(`${report.condition}: ${prevalence}; ${(100 * report.rmsShareError).toFixed(2)}, ${worst}`)
    if (report.leakFraction > LEAK_FRACTION_LIMIT)
      console.log(`  the background alone is ${percent(report.leakFraction)} of the prevalence: lower the leak`)
    for (const line of report.unmatched) console.log(`  cannot match ${line}`)
  }
  const shareError = rms(reports.map(({ rmsShareError }) => rmsShareError))
  const prevalenceError = rms(reports.map((report) => report.prevalence / report.wantedPrevalence - 1))
  console.log(`overall: shares ${(100 * shareError).toFixed(2)} points, prevalence ${percent(prevalenceError)} of it`)
}

function printAlsoShown(fitted: FitNetwork, rows: readonly ShareTableRow[]): void {
  const conditionOf = new Map(fitted.conditions.map((condition) => [condition.id, condition]))
  console.log('shown together (not fitted): stated, reached')
  for (const row of rows)
    for (const { condition, share } of row.alsoShown) {
      const reached = alsoShown(fitted, conditionOf.get(row.condition)!, conditionOf.get(condition)!)
      console.log(`${row.condition} also ${condition}: ${share}, ${reached.toFixed(2)}`)
    }
}

/** The network while a context holds: its causes moved or removed. */
function inContext(fitted: FitNetwork, ontology: Ontology, id: string): FitNetwork {
  const context = ontology.context.find((context) => context.id === id)
  const removed = new Set(ontology.cause.filter(({ excludedBy }) => excludedBy.includes(id)).map((cause) => cause.id))
  const factors = fitted.causes.map((cause) => {
    if (removed.has(cause.id)) return 0
    return context?.shifts.find((shift) => shift.cause === cause.id)?.factor.value ?? 1
  })
  const names = [...new Set(fitted.causes.flatMap(({ group }) => (group === undefined ? [] : [group])))]
  const groups = names.map((name) => fitted.causes.flatMap(({ group }, index) => (group === name ? [index] : [])))
  const baseRates = adjustPrior(
    fitted.causes.map(({ baseRate }) => baseRate),
    factors,
    groups,
  )
  return { ...fitted, causes: fitted.causes.map((cause, index) => ({ ...cause, baseRate: baseRates[index]! })) }
}

function printInContext(fitted: FitNetwork, ontology: Ontology, row: ShareTableRow): void {
  const network = inContext(fitted, ontology, row.when!)
  const condition = network.conditions.find(({ id }) => id === row.condition)!
  console.log(`${row.condition} in ${row.when} (not fitted): stated, reached`)
  for (const { cause, share } of row.shares) {
    const index = network.causes.findIndex(({ id }) => id === cause)
    const reached = index < 0 ? 'not in the source' : posteriorOf(network, condition, index).toFixed(3)
    console.log(`  ${cause}: ${share}, ${reached}`)
  }
}

function writeNumbers(source: string, fitted: FitNetwork): void {
  for (const folder of readdirSync(source, { withFileTypes: true })) {
    const path = join(source, folder.name, 'causes.json')
    if (!folder.isDirectory() || !existsSync(path)) continue
    const before = JSON.parse(readFileSync(path, 'utf8')) as RawCause[]
    const after = withFittedNumbers(before, fitted)
    if (JSON.stringify(after) === JSON.stringify(before)) continue
    writeFileSync(path, sourceText(after))
    console.log(`wrote ${path}`)
  }
}

const { values } = parseArgs({
  options: {
    source: { type: 'string', default: 'ontology/source' },
    shares: { type: 'string', default: 'ontology/material/shares.json' },
    write: { type: 'boolean', default: false },
  },
})
const table = ShareTableSchema.parse(JSON.parse(readFileSync(values.shares, 'utf8')))
const ontology = readSource(values.source)
const plain = table.filter((row) => row.when === undefined)
const rows = plain.map(shareRow)
const fitted = fitStartingValues(buildNetwork(ontology, rows))
printFit(fitted)
printAlsoShown(fitted, plain)
for (const row of table.filter((row) => row.when !== undefined)) printInContext(fitted, ontology, row)
for (const [title, ids] of Object.entries(compareWithSource(ontology, rows)))
  console.log(`${title}: ${ids.length}${ids.map((id) => `\n  ${id}`).join('')}`)
if (values.write) writeNumbers(values.source, fitted)
