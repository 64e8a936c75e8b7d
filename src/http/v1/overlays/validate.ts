import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { layOver, overlayHash } from '../../../services/overlays.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { faultFields, OVERLAY_EXAMPLE, OverlayBodySchema } from '../../overlay-in-body.ts'
import { BODY_PROBLEMS, FieldErrorSchema, json, jsonBody } from '../../schema.ts'

const AnswerSchema = z
  .object({
    release: z.string(),
    overlay: z.string(),
    sha256: z.string().openapi({ description: 'Names this overlay in the basis of answers' }),
    isValid: z.boolean(),
    faults: z.array(FieldErrorSchema).openapi({ description: 'Every rule it breaks, with the place and the remedy' }),
  })
  .openapi('OverlayVerdict')

const route = createRoute({
  method: 'post',
  path: '/v1/overlays/validate',
  operationId: 'validateOverlay',
  tags: ['overlays'],
  summary: 'Whether an overlay keeps the rules of the ontology and changes nothing that was released',
  middleware: requireAccept('application/json'),
  request: jsonBody(OverlayBodySchema, OVERLAY_EXAMPLE),
  responses: { 200: json(AnswerSchema, 'The verdict'), ...BODY_PROBLEMS },
})

export function registerOverlayValidation(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(route, async (c) => {
    const overlay = c.req.valid('json')
    const { release } = await wordingFor(c, shelf, { release: overlay.release })
    const laid = await layOver(release, overlay)
    const faults = 'faults' in laid ? faultFields(laid.faults, '') : []
    const sha256 = await overlayHash(overlay)
    const verdict = { release: release.version, overlay: overlay.overlay, sha256, isValid: faults.length === 0, faults }
    return c.json(verdict, 200)
  })
}
