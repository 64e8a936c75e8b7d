import { parseArgs } from 'node:util'
import { everyShop, purgeCalls } from '../store/call-erasure.ts'
import { openDatabase } from '../store/open.ts'

/**
 * npm run calls:purge: erases, in every shop, the calls that it does not keep any longer.
 * npm run calls:purge -- --scrub: writes the database anew as well, so that erased rows are not left in free pages of the
 * file or in its journal. Needs as much room again, and keeps writers waiting meanwhile.
 */

const { values } = parseArgs({ options: { scrub: { type: 'boolean', default: false } } })
const database = await openDatabase(process.env.DATABASE_URL ?? 'file:data/atlas.db', process.env.DATABASE_TOKEN)
let [shops, erased] = [0, 0]
for (const shop of await everyShop(database)) {
  erased += await purgeCalls(database, shop, Date.now())
  shops += 1
}
if (values.scrub) {
  await database.client.execute('vacuum')
  await database.client.execute('pragma wal_checkpoint(truncate)')
}
console.log(`${erased} calls of ${shops} shops were past their time and are erased`)
database.client.close()
