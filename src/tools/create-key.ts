import { parseArgs } from 'node:util'
import { createKey, SCOPES, type Scope } from '../services/keys.ts'
import { revokeKeys } from '../store/keys.ts'
import { openDatabase } from '../store/open.ts'

/**
 * npm run key -- --shop corner-shop [--scopes catalogue,calls]: makes the shop when it is new and prints a key once.
 * npm run key -- --shop corner-shop --revoke ta_AbCdE: ends the keys that begin so.
 */

const { values } = parseArgs({
  options: { shop: { type: 'string' }, scopes: { type: 'string', default: 'catalogue' }, revoke: { type: 'string' } },
})
const scopes = values.scopes.split(',') as Scope[]
const unknown = scopes.filter((scope) => !SCOPES.includes(scope))
if (!/^[a-z0-9-]{2,40}$/.test(values.shop ?? '') || unknown.length > 0) {
  console.error(
    `Usage: npm run key -- --shop <2 to 40 of a-z 0-9 -> [--scopes ${SCOPES.join(',')}] | --revoke <first 8 characters>`,
  )
  process.exit(1)
}
const database = await openDatabase(process.env.DATABASE_URL ?? 'file:data/atlas.db', process.env.DATABASE_TOKEN)
if (values.revoke !== undefined) {
  const count = await revokeKeys(database, values.shop!, values.revoke, Date.now())
  console.log(
    `${count} keys of ${values.shop} that begin with ${values.revoke} are revoked and open nothing from now on`,
  )
} else {
  const key = await createKey(database, values.shop!, scopes, Date.now())
  console.log(
    `Key of ${values.shop} for ${scopes.join(', ')}; it is shown this once and stored only as a hash:\n${key}`,
  )
}
database.client.close()
