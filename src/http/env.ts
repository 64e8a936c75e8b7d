import type { Item, Requirement } from '../domain/parts/types.ts'
import type { Overlay } from '../ontology/overlay.ts'
import type { CallsPort } from '../services/calls-port.ts'

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
export interface OverlayEntry {
  name: string
  sha256: string
  /** Milliseconds since 1970-01-01T00:00Z. */
  updatedAt: number
}
export interface ShopPort {
  holderOf: (key: string) => Promise<KeyHolder | undefined>
  /** Items of this shop that may meet the requirement. */
  candidates: (shop: string, requirement: Requirement) => Promise<Item[]>
  calls: CallsPort
  overlays: {
    put: (shop: string, overlay: Overlay) => Promise<OverlayEntry>
    read: (shop: string, name: string) => Promise<Overlay | undefined>
    list: (shop: string) => Promise<OverlayEntry[]>
    /** Says whether there was one. */
    remove: (shop: string, name: string) => Promise<boolean>
  }
  isReady: () => Promise<boolean>
}

export interface AppEnv {
  Variables: { requestId: string; keyHolder?: KeyHolder }
}
