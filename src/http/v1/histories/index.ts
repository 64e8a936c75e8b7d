import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import { analyseEvents, drawEvents, type HistoryQuestion } from '../../../services/histories/analyse-events.ts'
import { type EventFault, MOST_FAULTS, type ReadEvents } from '../../../services/histories/raw-event.ts'
import { readCsvEvents } from '../../../services/histories/read-csv-events.ts'
import { readNdjsonEvents } from '../../../services/histories/read-ndjson-events.ts'
import { PLAIN_STATES, type Resolved, resolveEvents } from '../../../services/histories/resolve-events.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { Wording } from '../../../services/texts.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import { negotiate, requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { readTogether } from '../../quantity.ts'
import { BODY_PROBLEMS, json, jsonBody } from '../../schema.ts'
import { HistoryAnswerSchema, type HistoryRequest, HistoryRequestSchema } from './schema.ts'

const JSON_TYPE = 'application/json'
const SVG = 'image/svg+xml'
const ok = json(HistoryAnswerSchema, 'Counts, tests, sentences and findings')

const route = createRoute({
  method: 'post',
  path: '/v1/histories/analyse',
  operationId: 'analyseHistory',
  tags: ['histories'],
  summary: 'An event list in; intervals, patterns with their probabilities, and findings out; or a drawing',
  description: 'A computation without side effects: nothing of the list is kept.',
  middleware: requireAccept(JSON_TYPE, SVG),
  request: jsonBody(HistoryRequestSchema),
  responses: { 200: { ...ok, content: { ...ok.content, [SVG]: { schema: z.string() } } }, ...BODY_PROBLEMS },
})

function refuse(faults: readonly EventFault[]): void {
  const [first] = faults
  if (!first) return
  const isUnknownOnly = faults.every(({ code }) => code === 'UNKNOWN_ID')
  throw new ProblemError(isUnknownOnly ? 'UNKNOWN_ID' : 'INPUT_INVALID', first.detail, faults.slice(0, MOST_FAULTS))
}

const FORMS = ['events', 'csv', 'ndjson'] as const

/** The list in whichever of its forms was sent. */
function readEvents({ events, csv, ndjson, columns = {} }: HistoryRequest): ReadEvents {
  if (csv !== undefined) return readCsvEvents(csv, given(columns))
  if (ndjson !== undefined) return readNdjsonEvents(ndjson, given(columns))
  const raw = (events ?? []).map((event, index) => ({ ...given(event), pointer: `/events/${index}` }))
  return { events: raw, faults: [] }
}

function resolvedFrom(wording: Wording, body: HistoryRequest): Resolved {
  const sent = FORMS.filter((form) => body[form] !== undefined)
  const detail = `exactly one of ${FORMS.join(', ')} must be given, got ${sent.length}`
  if (sent.length !== 1) refuse([{ pointer: `/${sent[1] ?? 'events'}`, code: 'INPUT_INVALID', detail, limit: 1 }])
  const { events, faults } = readEvents(body)
  refuse(faults)
  const limit = LIMITS.historyEvents
  const tooMany = `${sent[0]} must hold at most ${limit} events, got ${events.length}`
  if (events.length > limit) refuse([{ pointer: `/${sent[0]}`, code: 'INPUT_INVALID', detail: tooMany, limit }])
  const states = sent[0] === 'events' ? PLAIN_STATES : (body.states ?? PLAIN_STATES)
  const resolved = resolveEvents(wording, events, states, body.scheme)
  refuse(resolved.faults)
  return resolved
}

function questionOf({ zone, watch, expectedTime, loadCurrent }: HistoryRequest): HistoryQuestion {
  const [hours, minutes] = (expectedTime ?? '0:0').split(':').map(Number) as [number, number]
  const moment = (text: string | undefined) => (text === undefined ? undefined : Date.parse(text))
  return readTogether((reader) => ({
    ...given({ zone, expectedHour: expectedTime === undefined ? undefined : hours + minutes / 60 }),
    ...(watch && { watch: given({ fromMs: moment(watch.from), toMs: moment(watch.to) }) }),
    ...reader.optional('loadCurrentA', loadCurrent, 'A', '/loadCurrent'),
    mostSeries: LIMITS.historySeries,
  })) as HistoryQuestion
}

/** The analysis of an event list. */
export function registerHistories(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(route, async (c) => {
    const body = c.req.valid('json')
    const wording = await wordingFor(c, shelf, body)
    const question = questionOf(body)
    const resolved = resolvedFrom(wording, body)
    if (negotiate(c.req.header('Accept'), [JSON_TYPE, SVG]) === SVG)
      return c.body(drawEvents(resolved, question), 200, { 'Content-Type': SVG }) as never
    return c.json(analyseEvents(wording, resolved, question), 200)
  })
}
