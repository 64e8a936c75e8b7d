import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import { DomainError } from '../../../domain/errors.ts'
import type { SystemFacts } from '../../../domain/parts/needs/facts.ts'
import type { SizingFacts } from '../../../domain/parts/needs/sizing.ts'
import { type FindNeedsInput, findPartNeeds } from '../../../services/find-part-needs.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { Wording } from '../../../services/texts.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { type QuantityReader, readTogether } from '../../quantity.ts'
import { BODY_PROBLEMS, json, jsonBody } from '../../schema.ts'
import { NeedsAnswerSchema, type NeedsRequest, NeedsRequestSchema } from './needs-schema.ts'
import { conceptOf, constraintsOf, defined, diagnosisOf } from './requirement.ts'

const route = createRoute({
  method: 'post',
  path: '/v1/parts/needs',
  operationId: 'findPartNeeds',
  tags: ['parts'],
  summary: 'What a new part must be, from a remedy, the system and the old part; and what has still to be read',
  middleware: requireAccept('application/json'),
  request: jsonBody(NeedsRequestSchema),
  responses: { 200: json(NeedsAnswerSchema, 'Requirements to match by, questions and cautions'), ...BODY_PROBLEMS },
})

type Pair = { min: number; max: number }

/** Two voltages in order. */
function deviceSupplyOf({ system: { deviceSupply } }: NeedsRequest, { required }: QuantityReader): Pair | undefined {
  if (!deviceSupply) return undefined
  const min = required(deviceSupply.low, 'V', '/system/deviceSupply/low')
  const max = required(deviceSupply.high, 'V', '/system/deviceSupply/high')
  if (!(min > max)) return { min, max }
  const message = `high must be at least low (${min} V), got ${max} V`
  throw new DomainError('QUANTITY_OUT_OF_RANGE', message, { path: '/system/deviceSupply/high', limit: min, value: max })
}

function systemOf(body: NeedsRequest, reader: QuantityReader): SystemFacts {
  const { optional } = reader
  const { system } = body
  const { bay, endOfLine } = system
  return {
    ...optional('batteryVoltageV', system.batteryVoltage, 'V', '/system/batteryVoltage'),
    ...optional('supplyOutputV', system.supplyOutput, 'V', '/system/supplyOutput'),
    ...optional('supplyPowerVA', system.supplyPower, 'V.A', '/system/supplyPower'),
    ...optional('mainsVoltageV', system.mainsVoltage, 'V', '/system/mainsVoltage'),
    ...optional('loadCurrentA', system.loadCurrent, 'A', '/system/loadCurrent'),
    ...optional('outputLimitA', system.outputLimit, 'A', '/system/outputLimit'),
    ...optional('bayLengthMm', bay?.length, 'mm', '/system/bay/length'),
    ...optional('bayWidthMm', bay?.width, 'mm', '/system/bay/width'),
    ...optional('bayHeightMm', bay?.height, 'mm', '/system/bay/height'),
    ...optional('endOfLineOhm', endOfLine?.resistance, 'Ohm', '/system/endOfLine/resistance'),
    ...optional('bandMHz', system.band, 'MHz', '/system/band'),
    ...defined<SystemFacts>({
      fittedCount: system.fittedCount,
      supplyKind: system.supplyKind,
      deviceSupplyV: deviceSupplyOf(body, reader),
      terminals: system.terminals,
      endOfLineToleranceFraction: endOfLine?.toleranceFraction,
      familyKey: system.familyKey,
      slotCharges: system.slotCharges,
    }),
  }
}

function sizingOf({ sizing }: NeedsRequest, { optional }: QuantityReader): SizingFacts {
  return {
    ...optional('requiredCapacityAh', sizing.requiredCapacity, 'A.h', '/sizing/requiredCapacity'),
    ...optional('chargerLimitAh', sizing.chargerLimit, 'A.h', '/sizing/chargerLimit'),
    ...optional('caseLimitAh', sizing.caseLimit, 'A.h', '/sizing/caseLimit'),
    ...optional('chargeCurrentA', sizing.chargeCurrent, 'A', '/sizing/chargeCurrent'),
    ...optional('rechargeHours', sizing.rechargeDuration, 'h', '/sizing/rechargeDuration'),
    ...defined<SizingFacts>({ rechargeFraction: sizing.rechargeFraction, inParallel: sizing.inParallel }),
  }
}

function inputOf(wording: Wording, body: NeedsRequest): FindNeedsInput {
  const { release } = wording
  const { remedy, partClass, oldPart, quantity, adaptersAllowed, confirmed } = body
  if (remedy !== undefined) conceptOf(release, 'remedy', remedy, '/remedy')
  if (partClass !== undefined) conceptOf(release, 'part-class', partClass, '/partClass')
  const read = readTogether((reader) => ({ system: systemOf(body, reader), sizing: sizingOf(body, reader) }))
  return {
    ...defined<FindNeedsInput>({ wording, remedy, partClass, quantity, adaptersAllowed, confirmed }),
    ...read,
    oldPart: oldPart.attributes,
    demands: constraintsOf(body.demands),
    ...diagnosisOf(release, body),
  }
}

export function registerPartNeeds(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(route, async (c) => {
    const body = c.req.valid('json')
    const wording = await wordingFor(c, shelf, body)
    return c.json(findPartNeeds(inputOf(wording, body)), 200)
  })
}
