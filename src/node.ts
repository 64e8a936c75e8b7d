import { readFile } from 'node:fs/promises'
import type { Server } from 'node:http'
import { BlockList, isIP } from 'node:net'
import { join } from 'node:path'
import { serve } from '@hono/node-server'
import { getConnInfo } from '@hono/node-server/conninfo'
import { createApp, type Ports } from './app.ts'
import { clientAddress } from './services/client-address.ts'
import { FAIR_USE, memoryFairUse } from './services/fair-use.ts'
import { shopPort } from './services/shop-port.ts'
import { type Database, openDatabase } from './store/open.ts'

const ROOT = join(import.meta.dirname, '..')

/** What a host adds: a limit without a key, a log. */
export type HostPorts = Pick<Ports, 'fairUse' | 'addressOf' | 'log'>

/** The service on Node over an open database. */
export function createNodeApp(database: Database, host: HostPorts = {}) {
  return createApp({
    ...host,
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

const family = (address: string) => (isIP(address) === 6 ? 'ipv6' : 'ipv4')

/** Whether an address is in a list such as "10.0.0.7, 10.1.0.0/16, fd00::/8". */
export function trusting(list: string): (address: string) => boolean {
  const own = new BlockList()
  for (const entry of list
    .split(',')
    .map((part) => part.trim())
    .filter(Boolean)) {
    const [address = '', bits] = entry.split('/')
    if (bits === undefined) own.addAddress(address, family(address))
    else own.addSubnet(address, Number(bits), family(address))
  }
  return (address) => isIP(address) !== 0 && own.check(address, family(address))
}

/** What the environment asks of the host; a word that cannot be understood stops the start. */
export function hostPorts(environment: NodeJS.ProcessEnv): HostPorts {
  const { FAIR_USE_PER_MINUTE = `${FAIR_USE.limit}`, TRUSTED_PROXIES = '', ADDRESS_SALT, LOG = 'on' } = environment
  const limit = Number(FAIR_USE_PER_MINUTE)
  if (!Number.isInteger(limit) || limit < 0)
    throw new Error(`FAIR_USE_PER_MINUTE must be a whole number >= 0, got ${FAIR_USE_PER_MINUTE}`)
  const isOwnProxy = trusting(TRUSTED_PROXIES)
  return {
    ...(limit === 0 ? {} : { fairUse: memoryFairUse({ now: Date.now, salt: ADDRESS_SALT, limit }) }),
    addressOf: (c) => clientAddress(getConnInfo(c).remote.address, c.req.header('X-Forwarded-For'), isOwnProxy),
    ...(LOG === 'off'
      ? {}
      : { log: (line) => console.log(JSON.stringify({ time: new Date().toISOString(), ...line })) }),
  }
}

/** Starts listening; resolves once the port is open, with the address and a way to stop; rejects where the port is taken. */
export function listen(database: Database, port: number, hostname: string, host: HostPorts = {}) {
  return new Promise<{ url: string; close: () => Promise<void> }>((resolve, reject) => {
    const { fetch } = createNodeApp(database, host)
    const server = serve({ fetch, port, hostname }, (info) => {
      resolve({ url: `http://${hostname}:${info.port}`, close: () => closeGently(server) })
    }) as Server
    server.once('error', reject)
  })
}

async function main(): Promise<void> {
  const { PORT = '8787', HOST = '127.0.0.1', DATABASE_URL = 'file:data/atlas.db', DATABASE_TOKEN } = process.env
  const host = hostPorts(process.env)
  const database = await openDatabase(DATABASE_URL, DATABASE_TOKEN)
  const { url, close } = await listen(database, Number(PORT), HOST, host)
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
