import type { Item, Requirement } from '../domain/parts/types.ts'
import type { Overlay } from '../ontology/overlay.ts'
import type { Profile } from '../ontology/profile.ts'
import type { DocumentsPort } from '../services/documents-port.ts'
import type { LearningPort } from '../services/learning-port.ts'

/** What the routes need from outside; built by the entries. */
export interface Ports {
  /** The OpenAPI document as built. */
  openApiDocument: () => Promise<string>
  /** A published file of the ontology. */
  releaseFile: (release: string, name: string) => Promise<Uint8Array<ArrayBuffer> | undefined>
  /** Shops with keys and catalogues; absent where no database is bound. */
  shops?: ShopPort
}

export interface KeyHolder {
  shop: string
  scopes: readonly string[]
}
export interface ShopPort {
  holderOf: (key: string) => Promise<KeyHolder | undefined>
  /** Items of this shop that may meet the requirement. */
  candidates: (shop: string, requirement: Requirement) => Promise<Item[]>
  overlays: DocumentsPort<Overlay>
  profiles: DocumentsPort<Profile>
  learning: LearningPort
  /** The newest migration of the database, when it answers, has all of them and takes writes; throws a StoreError otherwise. */
  readiness: () => Promise<string>
}

export interface AppEnv {
  Variables: { requestId: string; keyHolder?: KeyHolder }
}
