import { createKey, SCOPES, type Scope } from '../../src/services/keys.ts'
import type { Database } from '../../src/store/open.ts'
import { solarOverlay } from './overlay.ts'
import { ask, createNodeApp, type Send } from './service.ts'

/**
 * What the walk over keyed routes has to know of each kind of thing that a shop keeps. A keyed route under none of these
 * paths, or one whose request is not known, fails the walk: add the kind here, together with its routes.
 */

/** A thing of one shop. */
export interface Made {
  /** Values of the path's parameters. */
  params: Record<string, string>
  /** Texts that stand in this thing and nowhere else: no other shop may ever read one. */
  marks: string[]
}
/** A request that its owner is answered with 2xx. */
export interface Request {
  body?: unknown
  query?: string
  headers?: Record<string, string>
}
export interface Kind {
  /** Every keyed path that begins so is about this kind. */
  under: string
  /** Makes one; `nth` differs from call to call. */
  make: (owner: Send, nth: number) => Promise<Made>
  /** Request of each operation that needs more than its path, by operationId. */
  requests: Record<string, (made: Made, owner: Send) => Request | Promise<Request>>
  /** Operations that, asked by another shop with the same name, make a thing of its own. */
  makesOwn?: string[]
  /** Path by which the owner reads the thing, to see that nobody else has touched it. */
  readAt: (made: Made) => string
}

const overlayMarked = (mark: string) => ({
  ...solarOverlay(),
  labels: [{ id: 'condition/battery-low', altLabels: [mark] }],
})

export const KINDS: Kind[] = [
  {
    under: '/v1/overlays',
    make: async (owner, nth) => {
      const mark = `marked ${nth}`
      const { status } = await ask(owner, 'PUT', '/v1/overlays/sunfield', overlayMarked(mark))
      if (status !== 200) throw new Error(`the overlay was not kept: ${status}`)
      return { params: { name: 'sunfield' }, marks: [mark] }
    },
    requests: { putOverlay: () => ({ body: solarOverlay() }) },
    makesOwn: ['putOverlay'],
    readAt: () => '/v1/overlays/sunfield',
  },
  {
    under: '/v1/keys',
    make: async (owner, nth) => {
      const label = `made as ${nth}`
      const { status, body } = await ask(owner, 'POST', '/v1/keys', { label, scopes: ['calls'] })
      if (status !== 201) throw new Error(`the key was not made: ${status}`)
      return { params: { id: body.id }, marks: [body.id, label] }
    },
    requests: {
      createKey: () => ({ body: { label: 'another', scopes: ['catalogue'] } }),
      rotateKey: () => ({ body: { overlap: { value: 1, unit: 'h' } } }),
    },
    readAt: ({ params }) => `/v1/keys/${params.id}`,
  },
]

/** Public operations that take a thing kept by a shop by its name: another shop that names it is refused. */
export const BORROWED: { kind: string; path: string; body: (made: Made) => unknown }[] = [
  {
    kind: '/v1/overlays',
    path: '/v1/diagnose',
    body: () => ({
      findings: [{ kind: 'condition', condition: 'condition/sunfield~panel-dark', state: 'present' }],
      overlay: 'sunfield',
    }),
  },
]

/** The kind that a path is about: the one that is named most closely. */
export const kindOf = (path: string): Kind | undefined =>
  KINDS.filter(({ under }) => path === under || path.startsWith(`${under}/`)).sort(
    (a, b) => b.under.length - a.under.length,
  )[0]

/** A way to send as a shop, with a key of these scopes. */
export async function sendAs(database: Database, shop: string, scopes: readonly Scope[] = SCOPES): Promise<Send> {
  const key = await createKey(database, shop, scopes, 0)
  return withKey(database, key)
}

/** A way to send with a key, or with none. */
export function withKey(database: Database, key?: string): Send {
  const app = createNodeApp(database)
  return async (path, init) => {
    const headers = { ...(init?.headers as object), ...(key === undefined ? {} : { Authorization: `Bearer ${key}` }) }
    return app.request(path, { ...init, headers })
  }
}

export interface KeyedOperation {
  operationId: string
  method: string
  path: string
  scope: Scope
  statuses: string[]
  hasBody: boolean
}

/** Every published operation that is only for the holder of a key. */
export function keyedOperations(app: ReturnType<typeof createNodeApp>): KeyedOperation[] {
  return app.openAPIRegistry.definitions.flatMap((definition) => {
    if (definition.type !== 'route') return []
    const { security, operationId, method, path, responses, request } = definition.route
    if (!security?.length || security.some((need) => Object.keys(need).length === 0)) return []
    const scope = security[0]!.shopKey![0] as Scope
    const hasBody = request?.body !== undefined
    return [
      {
        operationId: operationId!,
        method: method.toUpperCase(),
        path,
        scope,
        statuses: Object.keys(responses),
        hasBody,
      },
    ]
  })
}

/** The path of an operation for one thing; undefined when the thing lacks a parameter of it. */
export function pathFor(template: string, { params }: Made): string | undefined {
  const names = [...template.matchAll(/\{(\w+)\}/g)].map((match) => match[1]!)
  if (names.some((name) => params[name] === undefined)) return undefined
  return template.replace(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(params[name]!))
}
