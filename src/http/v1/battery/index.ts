import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import { DomainError } from '../../../domain/errors.ts'
import { DUTIES } from '../../../domain/power/duties.ts'
import type { SizingInput } from '../../../domain/power/size-battery.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordBatterySize } from '../../../services/size-battery.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { quantityReader } from '../../quantity.ts'
import { BODY_PROBLEMS, json, jsonBody } from '../../schema.ts'
import { SizeAnswerSchema, type SizeRequest, SizeRequestSchema } from './schema.ts'

const route = createRoute({
  method: 'post',
  path: '/v1/battery/size',
  operationId: 'sizeBattery',
  tags: ['battery'],
  summary: 'Size of a standby battery from its loads, with the derivation',
  middleware: requireAccept('application/json'),
  request: jsonBody(SizeRequestSchema),
  responses: { 200: json(SizeAnswerSchema, 'The size, or why none will do'), ...BODY_PROBLEMS },
})

function nominalVoltage(volts: number | undefined): 6 | 12 | 24 {
  if (volts === undefined) return 12
  if (volts === 6 || volts === 12 || volts === 24) return volts
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `nominalVoltage must be 6, 12 or 24 V, got ${volts} V`, {
    path: '/nominalVoltage',
    limit: '6, 12, 24 V',
    value: volts,
  })
}

const { optional, required } = quantityReader

function limitsOf({ limits }: SizeRequest): Pick<SizingInput, 'limits'> {
  if (!limits) return {}
  return {
    limits: {
      ...optional('maximumCapacityAh', limits.maximumCapacity, 'A.h', '/limits/maximumCapacity'),
      ...optional('supplyCurrentA', limits.supplyCurrent, 'A', '/limits/supplyCurrent'),
      ...optional('chargeLimitA', limits.chargeLimit, 'A', '/limits/chargeLimit'),
      ...optional('rechargeHours', limits.rechargeDuration, 'h', '/limits/rechargeDuration'),
      ...(limits.rechargeFraction === undefined ? {} : { rechargeFraction: limits.rechargeFraction }),
    },
  }
}

function toInput(body: SizeRequest): SizingInput {
  const duty = DUTIES.find(({ id }) => id === body.duty)
  const given = { exponent: body.exponent, ageingFactor: body.ageingFactor, designFactor: body.designFactor }
  const factors = Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined))
  return {
    loads: body.loads.map((load, index) => ({
      ...(load.label === undefined ? {} : { label: load.label }),
      quantity: load.quantity,
      standbyCurrentA: required(load.standbyCurrent, 'A', `/loads/${index}/standbyCurrent`),
      ...optional('alarmCurrentA', load.alarmCurrent, 'A', `/loads/${index}/alarmCurrent`),
    })),
    ...(duty === undefined ? {} : { duty }),
    ...optional('standbyHours', body.standbyDuration, 'h', '/standbyDuration'),
    ...optional('alarmHours', body.alarmDuration, 'h', '/alarmDuration'),
    ...optional('temperatureC', body.temperature, 'Cel', '/temperature'),
    nominalVoltageV: nominalVoltage(body.nominalVoltage && required(body.nominalVoltage, 'V', '/nominalVoltage')),
    method: body.method,
    ...factors,
    ...limitsOf(body),
  }
}

export function registerBattery(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(route, async (c) => {
    const body = c.req.valid('json')
    return c.json(wordBatterySize(await wordingFor(c, shelf, body), toInput(body)), 200)
  })
}
