import { OpenAPIHono } from '@hono/zod-openapi'
import type { AppEnv, Ports } from './http/env.ts'
import { applyCommon } from './http/middleware/common.ts'
import { validationHook } from './http/middleware/validation-hook.ts'
import { offerQuery } from './http/offer-query.ts'
import { registerCalculations } from './http/v1/calculations/index.ts'
import { registerCalls } from './http/v1/calls/index.ts'
import { registerCatalogue } from './http/v1/catalogue/index.ts'
import { registerDiagnose } from './http/v1/diagnose/index.ts'
import { registerDisplays } from './http/v1/displays/index.ts'
import { registerStoredProfiles } from './http/v1/displays/stored.ts'
import { registerHistories } from './http/v1/histories/index.ts'
import { registerKeys } from './http/v1/keys/index.ts'
import { registerOntology } from './http/v1/ontology/index.ts'
import { registerStoredOverlays } from './http/v1/overlays/stored.ts'
import { registerOverlayValidation } from './http/v1/overlays/validate.ts'
import { registerParts } from './http/v1/parts/index.ts'
import { registerRates } from './http/v1/rates/index.ts'
import { registerService } from './http/v1/service/index.ts'
import { registerSignals } from './http/v1/signals/index.ts'
import { registerText } from './http/v1/text/index.ts'
import { ReleaseShelf } from './services/release-shelf.ts'

export type { Ports } from './http/env.ts'

/** The whole service over its ports; the same on every host. */
export function createApp(ports: Ports): OpenAPIHono<AppEnv> {
  const app = new OpenAPIHono<AppEnv>({ defaultHook: validationHook })
  const shelf = new ReleaseShelf(ports.releaseFile)
  applyCommon(app, ports)
  registerService(app, ports)
  registerOntology(app, ports, shelf)
  registerOverlayValidation(app, shelf)
  registerStoredOverlays(app, shelf)
  registerCatalogue(app, shelf)
  registerDiagnose(app, shelf)
  registerCalls(app, shelf)
  registerDisplays(app, shelf)
  registerStoredProfiles(app, shelf)
  registerCalculations(app, shelf)
  registerHistories(app, shelf)
  registerKeys(app)
  registerParts(app, shelf)
  registerRates(app, shelf)
  registerSignals(app, shelf)
  registerText(app, shelf)
  offerQuery(app)
  app.openAPIRegistry.registerComponent('securitySchemes', 'shopKey', {
    type: 'http',
    scheme: 'bearer',
    description: "A shop's key, as npm run key or POST /v1/keys prints it once",
  })
  return app
}
