import { createReadStream } from 'node:fs'
import { parseArgs } from 'node:util'
import { currentRelease } from '../ontology/release.ts'
import type { DecimalMark } from '../services/catalogue/numbers.ts'
import { importFile } from '../services/import-catalogue.ts'
import { hasShop } from '../store/keys.ts'
import { openDatabase } from '../store/open.ts'

/**
 * npm run catalogue -- --shop corner-shop --file items.csv [--partial] [--check] [--replace 0.2] [--decimal ,] [--currency EUR]
 * A file whose name ends in .ndjson is read as one item of JSON a line.
 */

const { values } = parseArgs({
  options: {
    shop: { type: 'string' },
    file: { type: 'string' },
    partial: { type: 'boolean', default: false },
    check: { type: 'boolean', default: false },
    replace: { type: 'string' },
    decimal: { type: 'string' },
    currency: { type: 'string' },
  },
})
if (!values.shop || !values.file) {
  console.error(
    'Usage: npm run catalogue -- --shop <shop> --file <items.csv> [--partial] [--check] [--replace <fraction>] [--decimal <. or ,>] [--currency <code>]',
  )
  process.exit(1)
}
const database = await openDatabase(process.env.DATABASE_URL ?? 'file:data/atlas.db', process.env.DATABASE_TOKEN)
if (!(await hasShop(database, values.shop))) {
  console.error(`There is no shop ${values.shop}: make it with npm run key -- --shop ${values.shop}`)
  process.exit(1)
}
const body = {
  bytes: createReadStream(values.file),
  format: values.file.endsWith('.ndjson') ? ('ndjson' as const) : ('csv' as const),
}
const report = await importFile(database, currentRelease(), values.shop, body, {
  mode: values.check ? 'check' : values.partial ? 'partial' : 'atomic',
  maxRetiredFraction: values.replace === undefined ? undefined : Number(values.replace),
  decimalMark: values.decimal as DecimalMark | undefined,
  currency: values.currency,
})
for (const { row, line, column, code, message, value } of report.faults)
  console.error(`row ${row} (line ${line}), ${column || 'whole row'}: ${code}: ${message}; got "${value ?? ''}"`)
const dropped = report.faults.filter(({ effect }) => effect === 'value-left-out').length
const single = dropped > 0 ? `, ${dropped} single values left out` : ''
const { refusal } = report
const why =
  refusal?.why === 'retires-too-much'
    ? `it would retire ${refusal.retired} of ${refusal.active} items: raise --replace if that is meant`
    : 'mend the rows above, or import the others with --partial'
console.log(
  report.isApplied
    ? `${report.rows} rows read, ${report.changed} inserted or changed, ${report.leftOut} left out${single}${report.outcome?.retired ? `, ${report.outcome.retired} retired` : ''}`
    : values.check && refusal === undefined
      ? `${report.rows} rows read and checked, nothing written: ${report.outcome?.inserted} would be inserted, ${report.outcome?.updated} changed, ${report.leftOut} left out`
      : `${report.rows} rows read, nothing written: ${why}`,
)
database.client.close()
if (!report.isApplied && (refusal !== undefined || !values.check)) process.exitCode = 1
