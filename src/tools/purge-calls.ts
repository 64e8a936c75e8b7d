import { everyShop, purgeCalls } from '../store/call-erasure.ts'
import { openDatabase } from '../store/open.ts'

/** npm run calls:purge: erases, in every shop, the calls that it does not keep any longer. */

const database = await openDatabase(process.env.DATABASE_URL ?? 'file:data/atlas.db', process.env.DATABASE_TOKEN)
let [shops, erased] = [0, 0]
for (const shop of await everyShop(database)) {
  erased += await purgeCalls(database, shop, Date.now())
  shops += 1
}
console.log(`${erased} calls of ${shops} shops were past their time and are erased`)
database.client.close()
