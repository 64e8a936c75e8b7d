import { currentRelease } from '../../src/ontology/release.ts'
import { commitImport, isRefused, openImport, putPart } from '../../src/services/catalogue/imports.ts'
import { openDatabase } from '../../src/store/open.ts'
import { inPieces } from './catalogue.ts'

/** Imports a catalogue of so many rows with one title, saying when it reads and when it commits; meant to be killed. */
const [url, title, rows] = process.argv.slice(2)
const database = await openDatabase(url!)
const lines = Array.from({ length: Number(rows) }, (_, row) => `S-${row},${title} ${row},part-class/vrla-battery-12v`)
const bytes = inPieces(['sku,title,part_class', ...lines].join('\n'), 65_536)
const opened = await openImport(database, 'corner', { mode: 'atomic' }, { id: crypto.randomUUID(), now: Date.now() })
if (isRefused(opened)) throw new Error(opened.why)
process.stdout.write('reading\n')
const target = { importId: opened.id, part: 1, uploadId: crypto.randomUUID() }
await putPart(database, currentRelease(), 'corner', target, { bytes, format: 'csv' }, Date.now)
process.stdout.write('committing\n')
await commitImport(database, 'corner', opened.id, { now: Date.now() })
process.stdout.write('ended\n')
