import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { registerConcepts } from './concepts.ts'
import { registerCrosswalks } from './crosswalks.ts'
import { registerReleases } from './releases.ts'

export function registerOntology(app: OpenAPIHono<AppEnv>, ports: Ports, shelf: ReleaseShelf): void {
  registerReleases(app, ports, shelf)
  registerConcepts(app, shelf)
  registerCrosswalks(app, shelf)
}
