import { createInterface } from 'node:readline'
import { currentRelease } from '../../src/ontology/release.ts'
import { importCatalogue } from '../../src/services/import-catalogue.ts'
import { createKey, SCOPES } from '../../src/services/keys.ts'
import { openDatabase } from '../../src/store/open.ts'

/** node writer.ts <url>: does what the commands do, one order a line, and answers each once it is written. */

export interface Order {
  id: number
  kind: 'key' | 'catalogue'
  shop: string
  csv?: string
}

const database = await openDatabase(process.argv[2] ?? '')
console.log(JSON.stringify({ ready: true }))
for await (const line of createInterface({ input: process.stdin })) {
  const { id, kind, shop, csv } = JSON.parse(line) as Order
  try {
    const done =
      kind === 'key'
        ? { key: await createKey(database, shop, SCOPES, Date.now()) }
        : await importCatalogue(database, currentRelease(), shop, csv ?? '', false)
    console.log(JSON.stringify({ id, done }))
  } catch (error) {
    console.log(JSON.stringify({ id, error: String(error) }))
  }
}
