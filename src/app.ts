import { OpenAPIHono } from '@hono/zod-openapi'
import type { AppEnv, Ports } from './http/env.ts'
import { applyCommon } from './http/middleware/common.ts'
import { validationHook } from './http/middleware/validation-hook.ts'
import { registerCalculations } from './http/v1/calculations/index.ts'
import { registerCalls } from './http/v1/calls/index.ts'
import { registerDiagnose } from './http/v1/diagnose/index.ts'
import { registerDisplays } from './http/v1/displays/index.ts'
import { registerHistories } from './http/v1/histories/index.ts'
import { registerOntology } from './http/v1/ontology/index.ts'
import { registerStoredOverlays } from './http/v1/overlays/stored.ts'
import { registerOverlayValidation } from './http/v1/overlays/validate.ts'
import { registerParts } from './http/v1/parts/index.ts'
import { registerService } from './http/v1/service/index.ts'
import { registerSignals } from './http/v1/signals/index.ts'
import { registerText } from './http/v1/text/index.ts'
import { ReleaseShelf } from './services/release-shelf.ts'

export type { Ports } from './http/env.ts'

/** The whole service over its ports; the same on every host. */
export function createApp(ports: Ports): OpenAPIHono<AppEnv> {
  const app = new OpenAPIHono<AppEnv>({ defaultHook: validationHook })
  const shelf = new ReleaseShelf(ports.releaseFile)
  applyCommon(app)
  registerService(app, ports)
  registerOntology(app, ports, shelf)
  registerOverlayValidation(app, shelf)
  registerStoredOverlays(app, ports, shelf)
  registerDiagnose(app, ports, shelf)
  registerCalls(app, ports, shelf)
  registerDisplays(app, shelf)
  registerCalculations(app, shelf)
  registerHistories(app, shelf)
  registerParts(app, ports, shelf)
  registerSignals(app, shelf)
  registerText(app, shelf)
  app.openAPIRegistry.registerComponent('securitySchemes', 'shopKey', { type: 'http', scheme: 'bearer' })
  return app
}
