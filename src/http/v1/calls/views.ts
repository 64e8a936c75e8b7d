import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { basisOf } from '../../../services/basis.ts'
import { noticesOf } from '../../../services/calls/notices.ts'
import { summariseCall } from '../../../services/calls/summary.ts'
import type { DiagnosisAnswer } from '../../../services/diagnose.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { Wording } from '../../../services/texts.ts'
import { wishedLanguage } from '../../accept-language.ts'
import type { AppEnv } from '../../env.ts'
import { negotiate } from '../../middleware/accept.ts'
import type { ShopEnv } from '../../middleware/key.ts'
import { summaryPage, summaryPolicy, summaryText } from '../../pages/call-summary.ts'
import { LanguageQuery } from '../ontology/params.ts'
import { NoticesSchema, RelatedSchema } from './answers.ts'
import { CallParam, TimeSchema } from './fields.ts'
import { common, READ_ONE_PROBLEMS, readRoute } from './routes.ts'
import { callsOf, headBody, ofCall, releaseOf } from './shared.ts'

const SUMMARY_TYPES = ['text/html', 'text/plain']
const RELATED_SHOWN = 50
const DEFAULT_NOTICE_MINUTES = '60'

const summaryRoute = createRoute({
  ...common(...SUMMARY_TYPES),
  method: 'get',
  path: '/v1/calls/{call}/summary',
  operationId: 'getCallSummary',
  summary: 'The call on a sheet to send or to file: a page that prints, or plain text',
  request: { params: CallParam, query: z.object({ language: LanguageQuery }) },
  responses: {
    200: {
      description: 'The sheet',
      content: { 'text/html': { schema: z.string() }, 'text/plain': { schema: z.string() } },
    },
    ...READ_ONE_PROBLEMS,
  },
})
const noticesRoute = readRoute('/notices', 'getCallNotices', {
  summary: 'Texts for the monitoring center and the insurer, where trouble stood for longer than a time',
  schema: NoticesSchema,
  query: z.object({
    longerThanMinutes: z
      .string()
      .regex(/^\d{1,6}$/, 'must be a whole number of minutes')
      .optional()
      .openapi({
        description: 'How long trouble must have stood',
        type: 'integer',
        minimum: 0,
        maximum: 999_999,
        default: 60,
      }),
    asOf: TimeSchema.optional().openapi({ description: 'Moment that the texts speak of; now when left out' }),
    language: LanguageQuery,
  }),
})
const relatedRoute = readRoute('/related', 'listRelatedCalls', {
  summary: "Other calls of the same site by the shop's own reference, and what recurs in them",
  schema: RelatedSchema,
  query: z.object({ language: LanguageQuery }),
})

/** The call with the words of the release it is pinned to. */
async function worded(c: Context<ShopEnv>, shelf: ReleaseShelf, call: string, language: string | undefined) {
  const { shop, calls } = callsOf(c)
  const state = await calls.read(shop, call)
  const release = await releaseOf(shelf, state)
  const wording = new Wording(release, await shelf.served(release, wishedLanguage(c, language)))
  c.header('Content-Language', wording.served.tag)
  c.header('Vary', 'Accept-Language', { append: true })
  return { shop, calls, state, wording }
}

function registerSummary(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(summaryRoute, async (c) => {
    const { call } = c.req.valid('param')
    return ofCall(c, call, async () => {
      const { shop, calls, state, wording } = await worded(c, shelf, call, c.req.valid('query').language)
      const last = state.advice.at(-1)
      const answer = last && ((await calls.answer(shop, call, last.seq)) as DiagnosisAnswer)
      const summary = summariseCall(call, state, { wording, answer, now: calls.now() })
      if (negotiate(c.req.header('Accept'), SUMMARY_TYPES) === 'text/plain') return c.text(summaryText(summary), 200)
      c.header('Content-Security-Policy', await summaryPolicy())
      return c.html(summaryPage(summary), 200)
    })
  })
}

function registerNotices(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(noticesRoute, async (c) => {
    const { call } = c.req.valid('param')
    const { longerThanMinutes: minutes = DEFAULT_NOTICE_MINUTES, asOf: asked, language } = c.req.valid('query')
    return ofCall(c, call, async () => {
      const { calls, state, wording } = await worded(c, shelf, call, language)
      const asOf = asked === undefined ? calls.now() : Date.parse(asked)
      const longerThanMinutes = Number(minutes)
      return c.json(
        {
          basis: basisOf(wording.release),
          ...wording.stated(),
          call,
          asOf: new Date(asOf).toISOString(),
          longerThan: { value: longerThanMinutes, unit: 'min' },
          items: noticesOf(call, state, { wording, longerThanMinutes, asOf }),
        },
        200,
      )
    })
  })
}

function registerRelated(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(relatedRoute, async (c) => {
    const { call } = c.req.valid('param')
    return ofCall(c, call, async () => {
      const { shop, calls, state, wording } = await worded(c, shelf, call, c.req.valid('query').language)
      const { siteRef } = state
      if (siteRef === undefined) return c.json({ calls: [], recurring: [] }, 200)
      const own = await calls.concepts(shop, call)
      const others = (await calls.ofSite(shop, siteRef, call, RELATED_SHOWN)).map((other) => ({
        ...headBody(other),
        concepts: other.concepts,
        shared: other.concepts.filter((concept) => own.includes(concept)),
      }))
      const count = (concept: string) => others.filter(({ shared }) => shared.includes(concept)).length
      const recurring = own
        .map((concept) => ({ concept, label: wording.label(concept), calls: count(concept) + 1 }))
        .filter((entry) => entry.calls > 1)
        .sort((a, b) => b.calls - a.calls || (a.concept < b.concept ? -1 : 1))
      return c.json({ siteRef, calls: others, recurring }, 200)
    })
  })
}

export function registerViews(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerSummary(app, shelf)
  registerNotices(app, shelf)
  registerRelated(app, shelf)
}
