import openApi from '../openapi/openapi.json' with { type: 'json' }
import { createApp, type Ports } from './app.ts'
import { shopPort } from './services/shop-port.ts'
import { openRemoteDatabase } from './store/edge.ts'

interface Env {
  RELEASES: { fetch: (url: string) => Promise<Response> }
  DATABASE_URL?: string
  DATABASE_TOKEN?: string
}

function portsOf(env: Env): Ports {
  const ports: Ports = {
    openApiDocument: async () => JSON.stringify(openApi),
    releaseFile: async (release, name) => {
      const response = await env.RELEASES.fetch(`https://assets/${release}/${name}`)
      return response.ok ? new Uint8Array(await response.arrayBuffer()) : undefined
    },
  }
  if (env.DATABASE_URL === undefined) return ports
  return { ...ports, shops: shopPort(openRemoteDatabase(env.DATABASE_URL, env.DATABASE_TOKEN)) }
}

let app: ReturnType<typeof createApp> | undefined

export default {
  fetch(request: Request, env: Env): Response | Promise<Response> {
    app ??= createApp(portsOf(env))
    return app.fetch(request)
  },
}
