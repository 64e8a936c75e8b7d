import { z } from 'zod'
import { allConcepts } from './concepts.ts'
import { IRI_ROOT } from './formats/predicates.ts'
import { ontologyFaults } from './rules/index.ts'
import type { Fault } from './rules/rule.ts'
import {
  CauseSchema,
  CheckSchema,
  ConditionSchema,
  ContextSchema,
  HazardSchema,
  KINDS,
  type Kind,
  type Ontology,
  PartClassSchema,
  ProbabilitySchema,
  ReadingSchema,
  RemedySchema,
} from './shape.ts'

/**
 * What an integrator adds to a release under a prefix of its own: concepts, links from released causes to its own
 * conditions, and other names of released concepts. It never changes a released number or meaning.
 */

const NAME = /^[a-z0-9]+(?:-[a-z0-9]+)*$/
const few = <T extends z.ZodType>(schema: T) => z.array(schema).max(200).default([])

export const OverlaySchema = z.strictObject({
  overlay: z.string().max(40).regex(NAME, 'must be kebab-case').describe('Prefix of every id in it, before a tilde'),
  version: z.string().max(40).default('1'),
  /** Release that it was written for. */
  release: z.string().max(32).optional(),
  conditions: few(ConditionSchema),
  causes: few(CauseSchema),
  checks: few(CheckSchema),
  readings: few(ReadingSchema),
  contexts: few(ContextSchema),
  remedies: few(RemedySchema),
  partClasses: few(PartClassSchema),
  hazards: few(HazardSchema),
  /** Released causes that show a condition of this overlay. */
  links: few(z.strictObject({ cause: z.string(), condition: z.string(), q: ProbabilitySchema })),
  /** Other names of released concepts, found by search. */
  labels: few(z.strictObject({ id: z.string(), altLabels: z.array(z.string().min(1).max(120)).max(20) })),
})
export type Overlay = z.infer<typeof OverlaySchema>
export type OverlayInput = z.input<typeof OverlaySchema>

/** JSON Schema 2020-12 of an overlay as it is sent. */
export function overlayJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(OverlaySchema, { target: 'draft-2020-12', io: 'input', unrepresentable: 'throw' })
  return { ...schema, $id: `${IRI_ROOT}schema/overlay.json`, title: 'Trouble Atlas overlay' }
}

const FIELD = {
  condition: 'conditions',
  cause: 'causes',
  check: 'checks',
  reading: 'readings',
  context: 'contexts',
  remedy: 'remedies',
  'part-class': 'partClasses',
  hazard: 'hazards',
} as const satisfies Partial<Record<Kind, keyof Overlay>>
type OverlayKind = keyof typeof FIELD
const OVERLAY_KINDS = Object.keys(FIELD) as OverlayKind[]

/** A rule that an overlay breaks, with the place in it where that can be told. */
export interface OverlayFault extends Fault {
  /** JSON pointer into the overlay. */
  path?: string
}

function ownIds(overlay: Overlay): Map<string, string> {
  return new Map(
    OVERLAY_KINDS.flatMap((kind) =>
      overlay[FIELD[kind]].map(({ id }, index) => [id, `/${FIELD[kind]}/${index}`] as const),
    ),
  )
}

/** Ids that lack the prefix, links that touch released conditions, labels of unknown concepts. */
function borderFaults(base: Ontology, overlay: Overlay): OverlayFault[] {
  const rule = 'overlay-stays-apart'
  const own = ownIds(overlay)
  const released = new Set(allConcepts(base).map(({ concept }) => concept.id))
  const prefix = new RegExp(`^[a-z-]+/${overlay.overlay}~`)
  const faults: OverlayFault[] = [...own]
    .filter(([id]) => !prefix.test(id))
    .map(([id, path]) => ({
      rule,
      id,
      path: `${path}/id`,
      message: `does not begin with <kind>/${overlay.overlay}~`,
      remedy: 'Give ids of an overlay its own prefix; released concepts cannot be redefined',
    }))
  overlay.links.forEach(({ cause, condition }, index) => {
    const message =
      (own.has(cause) && `link from ${cause}: an own cause states its links in its shows`) ||
      (!released.has(cause) && `link from ${cause}, which the release does not hold`) ||
      (!own.has(condition) && `link to ${condition}: released conditions keep their released causes' numbers`)
    if (message)
      faults.push({
        rule,
        id: condition,
        path: `/links/${index}`,
        message,
        remedy: 'Link released causes to own conditions only',
      })
  })
  overlay.labels.forEach(({ id }, index) => {
    if (!released.has(id))
      faults.push({
        rule,
        id,
        path: `/labels/${index}/id`,
        message: 'is not in the release',
        remedy: 'Put labels of own concepts into the concepts themselves',
      })
  })
  return faults
}

/** The release with the overlay's concepts in it; released concepts gain nothing but links and names. */
export function withOverlay(base: Ontology, overlay: Overlay): Ontology {
  const names = new Map(overlay.labels.map(({ id, altLabels }) => [id, altLabels]))
  const named = <T extends { id: string; altLabels: string[] }>(concept: T): T =>
    names.has(concept.id) ? { ...concept, altLabels: [...concept.altLabels, ...names.get(concept.id)!] } : concept
  const lists = Object.fromEntries(
    KINDS.map((kind) => {
      const added = kind === 'family' ? [] : overlay[FIELD[kind]]
      const merged = [...(base[kind] as { id: string; altLabels: string[] }[]).map(named), ...added]
      return [kind, merged.sort((a, b) => (a.id < b.id ? -1 : 1))]
    }),
  ) as unknown as Pick<Ontology, Kind>
  const cause = lists.cause.map((item) => {
    const added = overlay.links.filter((link) => link.cause === item.id)
    return added.length === 0
      ? item
      : { ...item, shows: [...item.shows, ...added.map(({ condition, q }) => ({ condition, q }))] }
  })
  return { ...base, ...lists, cause }
}

/** Everything that is wrong with an overlay on a release: where it leaves its bounds, then the rules of the ontology itself. */
export function overlayFaults(base: Ontology, overlay: Overlay): OverlayFault[] {
  const border = borderFaults(base, overlay)
  if (border.length > 0) return border
  const own = ownIds(overlay)
  const known = new Set(ontologyFaults(base).map(({ rule, id, message }) => `${rule} ${id} ${message}`))
  const merged = withOverlay(base, overlay)
  return ontologyFaults(merged)
    .filter(({ rule, id, message }) => !known.has(`${rule} ${id} ${message}`))
    .map((fault) => {
      const path = own.get(fault.id)
      return path === undefined ? fault : { ...fault, path }
    })
}
