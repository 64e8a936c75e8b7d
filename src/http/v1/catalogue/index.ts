import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv } from '../../env.ts'
import { registerImports } from './imports.ts'
import { registerItems } from './items.ts'
import { registerSearch } from './search.ts'

export function registerCatalogue(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerImports(app, shelf)
  registerItems(app, shelf)
  registerSearch(app)
}
