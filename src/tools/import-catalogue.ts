import { readFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { currentRelease } from '../ontology/release.ts'
import { importCatalogue } from '../services/import-catalogue.ts'
import { hasShop } from '../store/keys.ts'
import { openDatabase } from '../store/open.ts'

/** npm run catalogue -- --shop corner-shop --file items.csv [--partial] */

const { values } = parseArgs({
  options: { shop: { type: 'string' }, file: { type: 'string' }, partial: { type: 'boolean', default: false } },
})
if (!values.shop || !values.file) {
  console.error('Usage: npm run catalogue -- --shop <shop> --file <items.csv> [--partial]')
  process.exit(1)
}
const database = await openDatabase(process.env.DATABASE_URL ?? 'file:data/atlas.db', process.env.DATABASE_TOKEN)
if (!(await hasShop(database, values.shop))) {
  console.error(`There is no shop ${values.shop}: make it with npm run key -- --shop ${values.shop}`)
  process.exit(1)
}
const text = new TextDecoder('utf-8', { fatal: true }).decode(readFileSync(values.file))
const report = await importCatalogue(database, currentRelease(), values.shop, text, values.partial)
for (const { row, line, column, code, message, value } of report.faults)
  console.error(`row ${row} (line ${line}), ${column || 'whole row'}: ${code}: ${message}; got "${value}"`)
console.log(
  report.isApplied
    ? `${report.rows} rows read, ${report.changed} inserted or changed, ${report.leftOut} left out`
    : `${report.rows} rows read, nothing written: mend the rows above, or import the others with --partial`,
)
database.client.close()
if (!report.isApplied) process.exitCode = 1
