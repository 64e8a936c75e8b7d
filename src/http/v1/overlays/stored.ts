import type { OpenAPIHono } from '@hono/zod-openapi'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { registerKept } from '../../kept-documents.ts'
import { layOverOrRefuse, OVERLAY_EXAMPLE, OverlayBodySchema } from '../../overlay-in-body.ts'

export function registerStoredOverlays(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerKept(app, {
    noun: 'overlay',
    tag: 'overlays',
    schema: OverlayBodySchema,
    entryName: 'StoredOverlay',
    example: 'sunfield',
    bodyExample: OVERLAY_EXAMPLE,
    store: (shops) => shops.overlays,
    check: async (c, overlay) => {
      const { release } = await wordingFor(c, shelf, { release: overlay.release })
      await layOverOrRefuse(release, overlay, '')
    },
  })
}
