import { z } from '@hono/zod-openapi'
import { type Overlay, type OverlayFault, type OverlayInput, OverlaySchema } from '../ontology/overlay.ts'
import type { Release } from '../ontology/release.ts'
import { layOver } from '../services/overlays.ts'
import { type FieldError, ProblemError } from './problem.ts'

/** An overlay in a body, named for the document. Made anew: a schema of the ontology bears no name there. */
export const OverlayBodySchema = z.strictObject(OverlaySchema.shape).openapi('Overlay')

/** For the document: an overlay of an invented integrator. */
export const OVERLAY_EXAMPLE: OverlayInput = {
  overlay: 'sunfield',
  labels: [{ id: 'condition/battery-low', altLabels: ['sun cell flat'] }],
}

/** Faults shown at once. */
const MOST = 50

export const faultFields = (faults: readonly OverlayFault[], pointer: string): FieldError[] =>
  faults.slice(0, MOST).map(({ rule, id, path = '', message, remedy }) => ({
    pointer: pointer + path,
    code: rule.toUpperCase().replaceAll('-', '_'),
    detail: `${id} ${message}. ${remedy}`,
    value: id,
  }))

/** The release with a body's overlay in it. @throws 422 naming every rule that the overlay breaks */
export async function layOverOrRefuse(base: Release, overlay: Overlay, pointer: string): Promise<Release> {
  const laid = await layOver(base, overlay)
  if ('release' in laid) return laid.release
  const count = laid.faults.length
  throw new ProblemError('OVERLAY_INVALID', `the overlay breaks ${count} rules`, faultFields(laid.faults, pointer))
}
