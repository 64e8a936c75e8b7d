import { write } from '../../src/store/database.ts'
import { openDatabase } from '../../src/store/open.ts'

/** node write-many.ts <url> <name> <count>: writes one row after the other and prints how long each took, in ms. */

const [url = '', name = '', count = '0'] = process.argv.slice(2)
const database = await openDatabase(url)
const took: number[] = []
let failed = 0
for (let number = 0; number < Number(count); number++) {
  const begin = performance.now()
  const row = { sql: 'insert into shops (id, created_at) values (?, 0)', args: [`${name}-${number}`] }
  await write(database, [row]).catch(() => failed++)
  took.push(performance.now() - begin)
}
console.log(JSON.stringify({ failed, took }))
database.client.close()
