import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv } from '../../env.ts'
import { registerAdvice } from './advice.ts'
import { registerCreateCall } from './create.ts'
import { tellDanger } from './danger-told.ts'
import { registerKeeping } from './keep.ts'
import { registerReads } from './read.ts'
import { registerRecords } from './record.ts'
import { registerReplay } from './replay.ts'
import { registerViews } from './views.ts'

/** Stored calls of a shop. What has a fixed name comes before what has an id. */
export function registerCalls(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.use('/v1/calls/*', tellDanger(shelf))
  registerCreateCall(app, shelf)
  registerKeeping(app)
  registerReads(app)
  registerRecords(app, shelf)
  registerAdvice(app, shelf)
  registerReplay(app, shelf)
  registerViews(app, shelf)
}
