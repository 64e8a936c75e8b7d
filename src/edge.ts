import openApi from '../openapi/openapi.json' with { type: 'json' }
import { createApp, type Ports } from './app.ts'
import { boundFairUse, type LimiterBinding } from './services/fair-use.ts'
import { shopPort } from './services/shop-port.ts'
import { openRemoteDatabase } from './store/edge.ts'

interface Env {
  RELEASES: { fetch: (url: string) => Promise<Response> }
  FAIR_USE?: LimiterBinding
  /** One for all isolates, so that they count the same address as the same; each draws its own without it. */
  ADDRESS_SALT?: string
  DATABASE_URL?: string
  DATABASE_TOKEN?: string
  /** "off" writes no line a request. */
  LOG?: string
}

function portsOf(env: Env): Ports {
  const ports: Ports = {
    openApiDocument: async () => JSON.stringify(openApi),
    releaseFile: async (release, name) => {
      const response = await env.RELEASES.fetch(`https://assets/${release}/${name}`)
      return response.ok ? new Uint8Array(await response.arrayBuffer()) : undefined
    },
    // The platform sets this header itself and lets nobody else do so.
    addressOf: (c) => c.req.header('CF-Connecting-IP'),
  }
  if (env.FAIR_USE) ports.fairUse = boundFairUse(env.FAIR_USE, { now: Date.now, salt: env.ADDRESS_SALT })
  if (env.LOG !== 'off') ports.log = (line) => console.log(JSON.stringify(line))
  if (env.DATABASE_URL !== undefined) ports.shops = shopPort(openRemoteDatabase(env.DATABASE_URL, env.DATABASE_TOKEN))
  return ports
}

let app: ReturnType<typeof createApp> | undefined

export default {
  fetch(request: Request, env: Env): Response | Promise<Response> {
    app ??= createApp(portsOf(env))
    return app.fetch(request)
  },
}
