import type { Item, Requirement } from '../domain/parts/types.ts'

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
  isReady: () => Promise<boolean>
}

export interface AppEnv {
  Variables: { requestId: string; keyHolder?: KeyHolder }
}
