import type { Context } from 'hono'
import type { Item, Requirement } from '../domain/parts/types.ts'
import type { Overlay } from '../ontology/overlay.ts'
import type { Profile } from '../ontology/profile.ts'
import type { CallsPort } from '../services/calls-port.ts'
import type { CataloguePort } from '../services/catalogue-port.ts'
import type { DocumentsPort } from '../services/documents-port.ts'
import type { FairUse } from '../services/fair-use.ts'
import type { KeysPort } from '../services/keys-port.ts'
import type { LearningPort } from '../services/learning-port.ts'
import type { Quota } from './rate-fields.ts'

/** What the routes need from outside; built by the entries. */
export interface Ports {
  /** The OpenAPI document as built. */
  openApiDocument: () => Promise<string>
  /** A published file of the ontology. */
  releaseFile: (release: string, name: string) => Promise<Uint8Array<ArrayBuffer> | undefined>
  /** Shops with keys and catalogues; absent where no database is bound. */
  shops?: ShopPort
  /** How much anybody may ask without a key; as much as they like where it is left out. */
  fairUse?: FairUse
  /** Where a request comes from, as the host knows it; never a header that anybody can write. */
  addressOf?: (c: Context) => string | undefined
  /** Takes one line a request; nothing is logged where it is left out. */
  log?: (line: LogLine) => void
}

/** What is logged of a request: nothing of its body, its key, its query or its sender. */
export interface LogLine {
  level: 'info' | 'error'
  requestId: string
  traceId?: string
  method: string
  /** The template, never the path itself. */
  route: string
  status: number
  ms: number
  /** Kind and places of a fault on our side; its text may hold what was sent, so it stays out. */
  fault?: { name: string; code?: string; at: string[] }
}

export interface KeyHolder {
  /** Id of the key; without one nothing is counted. */
  id?: string
  shop: string
  scopes: readonly string[]
  /** When the use of the key was last written down. */
  lastUsedAt?: number
}
/** What became of the key that a request bears; a fault of the database that should have known it, or no database at all. */
export type KeyState = { holder: KeyHolder; shops: ShopPort } | { fault: unknown } | 'none' | 'refused' | 'unbound'
export interface ShopPort {
  holderOf: (key: string) => Promise<KeyHolder | undefined>
  keys: KeysPort
  /** Items of this shop that may meet the requirement. */
  today: () => string
  candidates: (shop: string, requirement: Requirement) => Promise<Item[]>
  calls: CallsPort
  catalogue: CataloguePort
  overlays: DocumentsPort<Overlay>
  profiles: DocumentsPort<Profile>
  learning: LearningPort
  /** The newest migration of the database, when it answers, has all of them and takes writes; throws a StoreError otherwise. */
  readiness: () => Promise<string>
}

export interface AppEnv {
  Variables: {
    requestId: string
    keyState?: KeyState
    quotas?: readonly Quota[]
    /** Counts further requests of who asks, all or none. Throws 429 where there is no room for all of them. */
    countFurther?: (requests: number) => Promise<void>
    fault?: unknown
  }
}
