import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { registerAdvice } from './advice.ts'
import { registerCreateCall } from './create.ts'
import { registerKeeping } from './keep.ts'
import { registerReads } from './read.ts'
import { registerRecords } from './record.ts'
import { registerReplay } from './replay.ts'
import { registerViews } from './views.ts'

/** Stored calls of a shop. What has a fixed name comes before what has an id. */
export function registerCalls(app: OpenAPIHono<AppEnv>, ports: Ports, shelf: ReleaseShelf): void {
  const deps = { ports, shelf }
  registerCreateCall(app, deps)
  registerKeeping(app, deps)
  registerReads(app, deps)
  registerRecords(app, deps)
  registerAdvice(app, deps)
  registerReplay(app, deps)
  registerViews(app, deps)
}
