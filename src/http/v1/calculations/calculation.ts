import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import type { Step, Warning } from '../../../domain/quantities/derivation.ts'
import { basisOf } from '../../../services/basis.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { Wording } from '../../../services/texts.ts'
import { wireSteps } from '../../../services/wire-steps.ts'
import { wordHazard } from '../../../services/word-cautions.ts'
import { BATCH_NOTE, batchAnswer, batchRequest, runBatch } from '../../batch.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { negotiate, requireAccept } from '../../middleware/accept.ts'
import { type QuantityReader, readTogether } from '../../quantity.ts'
import {
  BASIS_STATED,
  BODY_PROBLEMS,
  CautionsSchema,
  json,
  jsonBody,
  StepsSchema,
  WarningsSchema,
  WouldChangeSchema,
} from '../../schema.ts'

/** What every computation answers beside its own result. */
export const ACCOUNT = {
  ...BASIS_STATED,
  steps: StepsSchema,
  warnings: WarningsSchema,
  validity: z.string(),
  wouldChange: WouldChangeSchema,
  cautions: CautionsSchema,
}
interface Accounted {
  steps: readonly Step[]
  warnings?: readonly Warning[]
  validity: string
  wouldChange: readonly string[]
  hazards: readonly string[]
}

/** The account of a computation on the wire: on what it rests, how it was derived, what to mind. */
export function accountOf(wording: Wording, { steps, warnings = [], validity, wouldChange, hazards }: Accounted) {
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    steps: wireSteps(steps),
    warnings: [...warnings],
    validity,
    wouldChange: [...wouldChange],
    cautions: hazards.map((id) => wordHazard(wording, id)),
  }
}

interface Asked {
  release?: string | undefined
  language?: string | undefined
}
export interface Calculation<Q extends z.ZodType<Asked>, A extends z.ZodType, Input> {
  path: string
  operationId: string
  /** Operation of the batch form. */
  batchId: string
  tag: string
  summary: string
  request: Q
  answer: A
  /** The body as the core wants it. */
  read: (body: z.infer<Q>, reader: QuantityReader, wording: Wording) => Input
  compute: (wording: Wording, input: Input) => z.infer<A>
  /** A drawing of the same result, for a reader that accepts image/svg+xml. */
  draw?: (input: Input) => string
}

const SVG = 'image/svg+xml'

/** Registers a computation alone and as a batch. */
export function registerCalculation<Q extends z.ZodType<Asked>, A extends z.ZodType, Input>(
  app: OpenAPIHono<AppEnv>,
  shelf: ReleaseShelf,
  { path, operationId, batchId, tag, summary, request, answer, read, compute, draw }: Calculation<Q, A, Input>,
): void {
  const offered = ['application/json', ...(draw ? [SVG] : [])]
  const drawing = draw ? { [SVG]: { schema: z.string() } } : {}
  const ok = json(answer, 'The result with its derivation')
  const single = createRoute({
    method: 'post',
    path,
    operationId,
    tags: [tag],
    summary,
    middleware: requireAccept(...offered),
    request: jsonBody(request),
    responses: { 200: { ...ok, content: { ...ok.content, ...drawing } }, ...BODY_PROBLEMS },
  })
  const many = createRoute({
    method: 'post',
    path: `${path}/batch`,
    operationId: batchId,
    tags: [tag],
    summary: `${summary}; many at once`,
    description: BATCH_NOTE,
    middleware: requireAccept('application/json'),
    request: jsonBody(batchRequest(request)),
    responses: { 200: json(batchAnswer(answer), 'A value or a problem for each, in order'), ...BODY_PROBLEMS },
  })
  const inputOf = (body: z.infer<Q>, wording: Wording) => readTogether((reader) => read(body, reader, wording))
  app.openapi(single, async (c) => {
    const body = c.req.valid('json' as never) as z.infer<Q>
    const wording = await wordingFor(c, shelf, body as Asked)
    const input = inputOf(body, wording)
    if (draw && negotiate(c.req.header('Accept'), offered) === SVG)
      return c.body(draw(input), 200, { 'Content-Type': SVG }) as never
    return c.json(compute(wording, input) as never, 200) as never
  })
  app.openapi(many, async (c) => {
    const { items } = c.req.valid('json' as never) as { items: z.infer<Q>[] }
    const run = async (item: z.infer<Q>) => {
      const wording = await wordingFor(c, shelf, item as Asked)
      return compute(wording, inputOf(item, wording))
    }
    return c.json((await runBatch(c, items, run)) as never, 200) as never
  })
}
