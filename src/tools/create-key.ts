import { parseArgs } from 'node:util'
import { firstKey, SCOPES, type Scope } from '../services/keys.ts'
import { countAdmins, revokeKeys } from '../store/keys.ts'
import { openDatabase } from '../store/open.ts'

/**
 * npm run key -- --shop corner-shop [--scopes catalogue,admin] [--label till] [--days 90]: makes the shop when it is new and
 * prints a key once. A key with the scope admin makes, rotates and revokes the others over the API.
 * npm run key -- --shop corner-shop --revoke ta_AbCdE: ends the keys that begin so.
 */

const DAY_MS = 86_400_000
const { values } = parseArgs({
  options: {
    shop: { type: 'string' },
    scopes: { type: 'string', default: 'catalogue' },
    label: { type: 'string' },
    days: { type: 'string' },
    revoke: { type: 'string' },
  },
})
const scopes = values.scopes.split(',') as Scope[]
const days = values.days === undefined ? undefined : Number(values.days)
const isUsable =
  /^[a-z0-9-]{2,40}$/.test(values.shop ?? '') &&
  scopes.every((scope) => SCOPES.includes(scope)) &&
  (days === undefined || (days > 0 && days < 36_500))
if (!isUsable) {
  console.error(
    `Usage: npm run key -- --shop <2 to 40 of a-z 0-9 -> [--scopes ${SCOPES.join(',')}] [--label <text>] [--days <life>] | --revoke <first 8 characters>`,
  )
  process.exit(1)
}
const shopId = values.shop!
const now = Date.now()
const database = await openDatabase(process.env.DATABASE_URL ?? 'file:data/atlas.db', process.env.DATABASE_TOKEN)
if (values.revoke !== undefined) {
  const count = await revokeKeys(database, shopId, values.revoke, now)
  console.log(`${count} keys of ${shopId} that begin with ${values.revoke} are revoked and open nothing from now on`)
  if ((await countAdmins(database, shopId, now)) === 0)
    console.log(`${shopId} has no admin key: its keys are made by this command alone`)
} else {
  const expiresAt = days === undefined ? undefined : now + days * DAY_MS
  const { key, stored } = await firstKey(database, { shopId, scopes, label: values.label, expiresAt }, now)
  const end = expiresAt === undefined ? '' : `, valid until ${new Date(expiresAt).toISOString()}`
  console.log(
    `Key ${stored.id} of ${shopId} for ${scopes.join(', ')}${end}; it is shown this once and stored only as a hash:\n${key}`,
  )
}
database.client.close()
