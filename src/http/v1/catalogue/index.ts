import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { registerImports } from './imports.ts'
import { registerItems } from './items.ts'
import { registerSearch } from './search.ts'

export function registerCatalogue(app: OpenAPIHono<AppEnv>, ports: Ports, shelf: ReleaseShelf): void {
  registerImports(app, ports, shelf)
  registerItems(app, ports, shelf)
  registerSearch(app, ports)
}
