import { readFile } from 'node:fs/promises'
import type { Server } from 'node:http'
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

/** How long requests in flight may take to end once the service is told to stop. */
const GRACE_MS = 10_000

/** A connection kept open for a next request would hold up the end for as long as it is kept. */
const DROP_IDLE_EVERY_MS = 50

/** Takes no new connections, lets requests in flight end, and cuts what has not ended after `GRACE_MS`. */
function closeGently(server: Server): Promise<void> {
  const cut = setTimeout(() => server.closeAllConnections(), GRACE_MS)
  const drop = setInterval(() => server.closeIdleConnections(), DROP_IDLE_EVERY_MS)
  return new Promise((done) =>
    server.close(() => {
      clearTimeout(cut)
      clearInterval(drop)
      done()
    }),
  )
}

/** Starts listening; resolves once the port is open, with the address and a way to stop; rejects where the port is taken. */
export function listen(database: Database, port: number, hostname: string) {
  return new Promise<{ url: string; close: () => Promise<void> }>((resolve, reject) => {
    const { fetch } = createNodeApp(database)
    const server = serve({ fetch, port, hostname }, (info) => {
      resolve({ url: `http://${hostname}:${info.port}`, close: () => closeGently(server) })
    }) as Server
    server.once('error', reject)
  })
}

async function main(): Promise<void> {
  const { PORT = '8787', HOST = '127.0.0.1', DATABASE_URL = 'file:data/atlas.db', DATABASE_TOKEN } = process.env
  const database = await openDatabase(DATABASE_URL, DATABASE_TOKEN)
  const { url, close } = await listen(database, Number(PORT), HOST)
  console.log(`Trouble Atlas is listening on ${url}\nTry: curl ${url}/v1/capabilities\nStop with Ctrl-C.`)
  // The first signal lets requests end; a second one finds no handler left and ends the process at once.
  const stop = () => {
    process.removeAllListeners('SIGINT').removeAllListeners('SIGTERM')
    void close().then(() => {
      database.client.close()
      console.log('Trouble Atlas has stopped.')
    })
  }
  process.once('SIGINT', stop)
  process.once('SIGTERM', stop)
}

if (import.meta.main) await main()
