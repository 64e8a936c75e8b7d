import { createKey, SCOPES, type Scope } from '../../src/services/keys.ts'
import type { Database } from '../../src/store/open.ts'
import { BORROWED_RATES, CALL_KINDS } from './keyed/calls.ts'
import { CATALOGUE_KINDS } from './keyed/catalogue.ts'
import { BORROWED_DOCUMENTS, DOCUMENT_KINDS } from './keyed/documents.ts'
import type { Borrowed, Kind, Made } from './keyed/kind.ts'
import { createNodeApp, type Send } from './service.ts'

export type { Kind, Made, Request } from './keyed/kind.ts'

/**
 * What the walk over keyed routes has to know of each kind of thing that a shop keeps. A keyed route under none of these
 * paths, or one whose request is not known, fails the walk: add the kind here, together with its routes.
 */
export const KINDS: Kind[] = [...DOCUMENT_KINDS, ...CALL_KINDS, ...CATALOGUE_KINDS]

/** Public operations that take a thing kept by a shop by its name: another shop that names it is refused. */
export const BORROWED: Borrowed[] = [...BORROWED_DOCUMENTS, ...BORROWED_RATES]

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
  /** Media types that its body can have; none where it takes no body. */
  bodyTypes: string[]
  /** Fields of the request that an answer of 200 depends on, beside what every answer does. */
  variesBy: string[]
  takesIdempotencyKey: boolean
}

/** Every published operation that is only for the holder of a key. */
export function keyedOperations(app: ReturnType<typeof createNodeApp>): KeyedOperation[] {
  return app.openAPIRegistry.definitions.flatMap((definition) => {
    if (definition.type !== 'route') return []
    const { security, operationId, method, path, responses, request } = definition.route
    if (!security?.length || security.some((need) => Object.keys(need).length === 0)) return []
    const scope = security[0]!.shopKey![0] as Scope
    const fieldsOf = (part: unknown) => (part as { shape?: object } | undefined)?.shape ?? {}
    return [
      {
        operationId: operationId!,
        method: method.toUpperCase(),
        path,
        scope,
        statuses: Object.keys(responses),
        bodyTypes: Object.keys(request?.body?.content ?? {}),
        variesBy: 'language' in fieldsOf(request?.query) ? ['Accept-Language'] : [],
        takesIdempotencyKey: 'idempotency-key' in fieldsOf(request?.headers),
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
