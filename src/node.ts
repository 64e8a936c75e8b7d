import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { serve } from '@hono/node-server'
import { createApp } from './app.ts'
import { shopPort } from './services/shop-port.ts'
import { type Database, openDatabase } from './store/open.ts'

const ROOT = join(import.meta.dirname, '..')

/** The service on Node over an open database. */
export function createNodeApp(database: Database) {
  return createApp({
    openApiDocument: () => readFile(join(ROOT, 'openapi/openapi.json'), 'utf8'),
    releaseFile: async (release, name) => {
      const path = join(ROOT, 'ontology/releases', release, name)
      return readFile(path).then(
        (bytes) => new Uint8Array(bytes),
        () => undefined,
      )
    },
    shops: shopPort(database),
  })
}

/** Starts listening; resolves once the port is open, with the address and a way to stop. */
export function listen(database: Database, port: number, hostname: string) {
  return new Promise<{ url: string; close: () => Promise<void> }>((resolve) => {
    const server = serve({ fetch: createNodeApp(database).fetch, port, hostname }, (info) => {
      resolve({
        url: `http://${hostname}:${info.port}`,
        close: () => new Promise((done) => server.close(() => done())),
      })
    })
  })
}

async function main(): Promise<void> {
  const { PORT = '8787', HOST = '127.0.0.1', DATABASE_URL = 'file:data/atlas.db', DATABASE_TOKEN } = process.env
  const database = await openDatabase(DATABASE_URL, DATABASE_TOKEN)
  const { url, close } = await listen(database, Number(PORT), HOST)
  console.log(`Trouble Atlas is listening on ${url}\nTry: curl ${url}/v1/capabilities\nStop with Ctrl-C.`)
  const stop = () => void close().then(() => database.client.close())
  process.once('SIGINT', stop)
  process.once('SIGTERM', stop)
}

if (import.meta.main) await main()
