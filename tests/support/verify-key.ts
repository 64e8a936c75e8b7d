import { verifyKey } from '../../src/services/keys.ts'
import { openDatabase } from '../../src/store/open.ts'

/** node verify-key.ts <url> <key>...: prints the shop of each key, or an empty line; a process of its own lets go of the file when it ends. */

const [url = '', ...keys] = process.argv.slice(2)
const database = await openDatabase(url)
for (const key of keys) console.log((await verifyKey(database, key, 1))?.shop ?? '')
database.client.close()
