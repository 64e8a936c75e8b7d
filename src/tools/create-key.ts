import { parseArgs } from 'node:util'
import { createKey, SCOPES, type Scope } from '../services/keys.ts'
import { openDatabase } from '../store/open.ts'

/** npm run key -- --shop corner-shop [--scopes catalogue,calls]: makes the shop when it is new and prints a key once. */

const { values } = parseArgs({
  options: { shop: { type: 'string' }, scopes: { type: 'string', default: 'catalogue' } },
})
const scopes = values.scopes.split(',') as Scope[]
const unknown = scopes.filter((scope) => !SCOPES.includes(scope))
if (!/^[a-z0-9-]{2,40}$/.test(values.shop ?? '') || unknown.length > 0) {
  console.error(`Usage: npm run key -- --shop <2 to 40 of a-z 0-9 -> [--scopes ${SCOPES.join(',')}]`)
  process.exit(1)
}
const database = await openDatabase(process.env.DATABASE_URL ?? 'file:data/atlas.db')
const key = await createKey(database, values.shop!, scopes, Date.now())
console.log(`Key of ${values.shop} for ${scopes.join(', ')}; it is shown this once and stored only as a hash:\n${key}`)
database.client.close()
