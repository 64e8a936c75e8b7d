import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createClient, type InArgs } from '@libsql/client'
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { matchParts } from '../../src/domain/parts/match.ts'
import type { Constraint, Item, Requirement } from '../../src/domain/parts/types.ts'
import { createKey, verifyKey } from '../../src/services/keys.ts'
import { putItems } from '../../src/store/catalogue/items.ts'
import { narrowItems } from '../../src/store/catalogue/narrow.ts'
import { revokeKeys } from '../../src/store/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { anyItems, anyRequirement } from '../support/part-worlds.ts'

const BATTERY = 'part-class/vrla-battery-12v'
const NO_LIMIT = 1000
const CAPACITY: Constraint = {
  attribute: 'capacityAh',
  op: 'range',
  value: 7,
  to: 9,
  kind: 'hard',
  isSafety: false,
  origin: 'test',
}
const withHash = (items: readonly Item[]) => items.map((item) => ({ ...item, contentHash: JSON.stringify(item) }))

let folder: string
let url: string
let database: Database
let shops = 0

async function shopWith(items: readonly Item[]): Promise<string> {
  const shop = `shop-${shops++}`
  await createKey(database, shop, ['catalogue'], 0)
  await putItems(database, shop, withHash(items), 1)
  return shop
}
const listed = (requirement: Requirement, items: readonly Item[]) => {
  const { fits, confirmFirst, nearMisses } = matchParts(requirement, items)
  return [...fits, ...confirmFirst, ...nearMisses].map(({ item }) => item.sku)
}

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'catalogue-'))
  url = `file:${join(folder, 'shops.db')}`
  database = await openDatabase(url)
})
afterAll(() => {
  database.client.close()
  rmSync(folder, { recursive: true })
})

describe('narrowing by SQL', () => {
  test('the matcher lists the same parts, in the same order, from the narrowed as from the whole', async () => {
    await fc.assert(
      fc.asyncProperty(anyRequirement, anyItems, async (requirement, items) => {
        const shop = await shopWith(items)
        const narrowed = await narrowItems(database, shop, requirement, NO_LIMIT)
        expect(listed(requirement, narrowed)).toEqual(listed(requirement, items))
      }),
      { numRuns: 300 },
    )
  })

  test('a limit cuts from the end of the ranking', async () => {
    const typed = (attribute: string, value: number): Constraint => ({
      attribute,
      op: 'max',
      value,
      kind: attribute === 'powerW' ? 'soft' : 'hard',
      isSafety: attribute === 'heightMm',
      origin: 'test',
    })
    const number = fc.nat(3)
    const items = fc.array(
      fc.record(
        {
          attributes: fc.record(
            { heightMm: number, widthMm: number, lengthMm: number, powerW: number },
            { requiredKeys: [] },
          ),
          stock: number,
          packQuantity: fc.integer({ min: 1, max: 3 }),
          priceMinor: number,
        },
        { requiredKeys: ['attributes'] },
      ),
      { minLength: 1, maxLength: 20 },
    )
    const requirement: Requirement = {
      partClass: BATTERY,
      constraints: ['heightMm', 'widthMm', 'lengthMm', 'powerW'].map((name) => typed(name, 1)),
      quantity: 4,
      adaptersAllowed: false,
    }
    await fc.assert(
      fc.asyncProperty(items, fc.integer({ min: 1, max: 6 }), async (rows, limit) => {
        const all = rows.map(
          (row, index) => ({ ...row, sku: `P-${index}`, title: 'a part', partClass: BATTERY }) as Item,
        )
        const narrowed = await narrowItems(database, await shopWith(all), requirement, limit)
        expect(listed(requirement, narrowed)).toEqual(listed(requirement, all).slice(0, limit))
      }),
      { numRuns: 200 },
    )
  })

  test('items are ranked in the index alone, and only the best are fetched', async () => {
    const statements: { sql: string; args: InArgs }[] = []
    const { execute } = database.client
    database.client.execute = ((statement: { sql: string; args: InArgs }) => {
      statements.push(statement)
      return execute.call(database.client, statement as never)
    }) as typeof execute
    await narrowItems(
      database,
      'nobody',
      { partClass: BATTERY, constraints: [CAPACITY], quantity: 1, adaptersAllowed: false },
      9,
    )
    database.client.execute = execute
    // A connection that explained a statement keeps reading the database as it was then, so it is not used again.
    const apart = createClient({ url })
    const { sql, args } = statements[0]!
    const { rows } = await apart.execute({ sql: `explain query plan ${sql}`, args })
    apart.close()
    const plan = rows.map(({ detail }) => detail).join('\n')
    expect(plan.match(/COVERING INDEX items_narrow/g)).toHaveLength(2)
    expect(plan).toMatch(/items_narrow \([^)]*capacity_ah>/)
    expect(plan).not.toMatch(/items_sku/)
  })
})

describe('a shop’s keys', () => {
  test('a revoked key opens nothing, and no other shop can revoke it', async () => {
    const [mine, other] = [await shopWith([]), await shopWith([])]
    const key = await createKey(database, mine, ['catalogue'], 0)
    const prefix = key.slice(0, 8)
    expect(await revokeKeys(database, other, prefix, 1)).toBe(0)
    expect(await verifyKey(database, key, 2)).toMatchObject({ shop: mine })
    expect(await revokeKeys(database, mine, prefix, 1)).toBe(1)
    expect(await verifyKey(database, key, 2)).toBeUndefined()
  })
})
