import { write } from '../../src/store/database.ts'
import { openDatabase } from '../../src/store/open.ts'

/** node write-pairs.ts <url>: writes a shop and its overlay together, on and on, and prints each number once it is written. */

const database = await openDatabase(process.argv[2] ?? '')
for (let number = 0; ; number++) {
  const shop = `pair-${number}`
  await write(database, [
    { sql: 'insert into shops (id, created_at) values (?, ?)', args: [shop, number] },
    {
      sql: "insert into overlays (shop_id, name, sha256, body, updated_at) values (?, 'a', 'x', ?, 0)",
      args: [shop, 'y'.repeat(500)],
    },
  ])
  console.log(number)
}
