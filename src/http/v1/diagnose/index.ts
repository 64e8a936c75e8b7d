import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import type { Context } from 'hono'
import type { Finding, Limits } from '../../../domain/findings/finding.ts'
import { given } from '../../../domain/given.ts'
import { refuseTogether, within } from '../../../domain/quantities/within.ts'
import type { Overlay } from '../../../ontology/overlay.ts'
import type { Release } from '../../../ontology/release.ts'
import { diagnose } from '../../../services/diagnose.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { StatedReserve } from '../../../services/reserve-hours.ts'
import { findingOfSignal } from '../../../services/signal-findings.ts'
import { Wording } from '../../../services/texts.ts'
import { ratesInBody } from '../../chosen-rates.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import { notNegative, readMeter } from '../../meter.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { requireKey } from '../../middleware/key.ts'
import { layOverOrRefuse } from '../../overlay-in-body.ts'
import { ProblemError } from '../../problem.ts'
import { quantityReader } from '../../quantity.ts'
import { BODY_PROBLEMS, json, jsonBody, KEY_PROBLEMS } from '../../schema.ts'
import { dangerAnyway, refuseUnlessDanger } from './danger-anyway.ts'
import { DiagnoseAnswerSchema, type DiagnoseRequest, DiagnoseRequestSchema } from './schema.ts'

const route = createRoute({
  method: 'post',
  path: '/v1/diagnose',
  operationId: 'diagnose',
  tags: ['diagnosis'],
  security: [{}, { shopKey: ['overlays', 'calls'] }],
  summary: 'Findings in; ranked causes, next checks, plan and cautions out',
  description:
    'A computation without side effects: safe to repeat. The whole call is sent each time, as a list of findings that grows. A sign of danger is answered with its stop even where the rest of the request is refused; `problem` then says what was refused.',
  middleware: requireAccept('application/json'),
  request: jsonBody(DiagnoseRequestSchema),
  responses: { 200: json(DiagnoseAnswerSchema, 'The answer'), ...KEY_PROBLEMS, ...BODY_PROBLEMS },
})

export type WireFinding = DiagnoseRequest['findings'][number]
type UnitOf = (reading: string) => string | undefined
type WireReading = Extract<WireFinding, { kind: 'reading' }>

function readingFinding(finding: WireReading, at: number, unitOf: UnitOf): Finding {
  const { quantity, meter, ...rest } = ownFields(finding)
  // An unknown reading is refused by the core, which names its id; its unit is not needed for that.
  const unit = unitOf(finding.reading) ?? quantity.unit
  const value = quantityReader.required(quantity, unit, `/findings/${at}/quantity`)
  if (meter === undefined) return given({ ...rest, value })
  return given({ ...rest, value, meter: readMeter(meter, unit, `/findings/${at}/meter`) })
}

const moment = (time: string | undefined) => (time === undefined ? undefined : Date.parse(time))

/** What the core reads of a finding: without the app's own notes, and its times as moments. */
function ownFields<F extends WireFinding>({ id: _id, observedAt, source: _source, until, ...rest }: F) {
  return { ...rest, ...given({ untilMs: moment(until), observedMs: moment(observedAt) }) }
}

export function toFinding(release: Release, finding: WireFinding, at: number, unitOf: UnitOf): Finding {
  if (finding.kind === 'reading') return readingFinding(finding, at, unitOf)
  if (finding.kind === 'signal') {
    const { scheme, code, state = 'present', ...rest } = ownFields(finding)
    return given({ ...rest, ...findingOfSignal(release, { scheme, code, state }, at) })
  }
  return given(ownFields(finding)) as Finding
}

export function toLimits({ limits }: Pick<DiagnoseRequest, 'limits'>): Limits {
  const {
    who = 'caller',
    tools = [],
    lackingTools,
    duration,
    ownerVerified = false,
    at,
    questionsAtOnce,
    lackingSenses,
  } = limits ?? {}
  return {
    who,
    tools,
    ...(lackingTools === undefined ? {} : { lackingTools }),
    isOwnerVerified: ownerVerified,
    ...(duration === undefined ? {} : { minutes: notNegative(duration, 'min', '/limits/duration') }),
    ...(at === undefined ? {} : { nowMs: Date.parse(at) }),
    ...(questionsAtOnce === undefined ? {} : { questionsAtOnce }),
    ...(lackingSenses === undefined ? {} : { lackingSenses }),
  }
}

/** The main battery in the core's units; refused here, so that the pointer leads into the body. */
function toReserve({ ratedCapacity, standbyCurrent }: NonNullable<DiagnoseRequest['reserve']>): StatedReserve {
  const reserve = {
    ratedCapacityAh: quantityReader.required(ratedCapacity, 'Ah', '/reserve/ratedCapacity'),
    standbyCurrentA: quantityReader.required(standbyCurrent, 'A', '/reserve/standbyCurrent'),
  }
  refuseTogether([
    () => within(reserve.ratedCapacityAh, '/reserve/ratedCapacity', 0.01, 1000, 'Ah'),
    () => within(reserve.standbyCurrentA, '/reserve/standbyCurrent', 0.001, 1000, 'A'),
  ])
  return reserve
}

/** Each named device has its own copy of the causes, so their number bounds the work of a request. */
export function checkDevices({ findings }: Pick<DiagnoseRequest, 'findings'>): void {
  const devices = new Set(findings.flatMap(({ device }) => (device === undefined ? [] : [device]))).size
  if (devices <= LIMITS.devices) return
  const limit = { pointer: '/findings', code: 'TOO_MANY_DEVICES', limit: LIMITS.devices, value: devices }
  const detail = `findings must name at most ${LIMITS.devices} devices, got ${devices}`
  throw new ProblemError('INPUT_INVALID', detail, [{ ...limit, detail }])
}

/** The overlay of a request: sent along, or kept by the shop under the name sent. */
async function overlayOf(c: Context<AppEnv>, { overlay }: DiagnoseRequest): Promise<Overlay | undefined> {
  if (typeof overlay !== 'string') return overlay
  const { shop, shops } = requireKey(c, 'overlays')
  const kept = await shops.overlays.read(shop, overlay)
  if (kept) return kept
  const problem = { pointer: '/overlay', code: 'UNKNOWN_ID', detail: 'unknown overlay', value: overlay }
  throw new ProblemError('UNKNOWN_ID', `overlay must be one that the shop keeps, got ${overlay}`, [problem])
}

/** At no stated time nothing that has an end is known to hold still: a test that may be over opens no way to a step. */
const ended = (finding: Finding): Finding =>
  finding.untilMs === undefined ? finding : { ...finding, untilMs: Number.NEGATIVE_INFINITY }

async function answerTo(c: Context<AppEnv>, shelf: ReleaseShelf, body: DiagnoseRequest) {
  checkDevices(body)
  const published = await wordingFor(c, shelf, body)
  const overlay = await overlayOf(c, body)
  const wording = overlay
    ? new Wording(await layOverOrRefuse(published.release, overlay, '/overlay'), published.served)
    : published
  const units = new Map(wording.release.compiled.readings.map(({ id, unit }) => [id, unit]))
  const learned = await ratesInBody(c, shelf, { rates: body.rates, release: wording.release })
  return diagnose({
    wording,
    findings: body.findings
      .map((finding, at) => toFinding(wording.release, finding, at, (id) => units.get(id)))
      .map(body.limits?.at === undefined ? ended : (finding) => finding),
    limits: toLimits(body),
    ...(learned ? { learned } : {}),
    ...(body.reserve ? { reserve: toReserve(body.reserve) } : {}),
  })
}

export function registerDiagnose(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(
    route,
    async (c) => {
      const body = c.req.valid('json')
      try {
        return c.json(await answerTo(c, shelf, body), 200)
      } catch (error) {
        const danger = await dangerAnyway(c, shelf, { body, error })
        if (!danger) throw error
        return c.json(danger, 200)
      }
    },
    refuseUnlessDanger(shelf) as never,
  )
}
