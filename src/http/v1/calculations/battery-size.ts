import { DomainError } from '../../../domain/errors.ts'
import { given } from '../../../domain/given.ts'
import { DUTIES } from '../../../domain/power/duties.ts'
import { hoursGiven } from '../../../domain/power/hours-given.ts'
import type { SizingInput } from '../../../domain/power/size-battery.ts'
import { atPointer } from '../../../domain/quantities/at-pointer.ts'
import { wordBatterySize } from '../../../services/size-battery.ts'
import type { QuantityReader } from '../../quantity.ts'
import { SizeAnswerSchema, type SizeRequest, SizeRequestSchema } from './battery-size-schema.ts'
import type { Calculation } from './calculation.ts'
import { suitabilityOf } from './suitability.ts'

function nominalVoltage(volts: number | undefined): 6 | 12 | 24 {
  if (volts === undefined) return 12
  if (volts === 6 || volts === 12 || volts === 24) return volts
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `nominalVoltage must be 6, 12 or 24 V, got ${volts} V`, {
    path: '/nominalVoltage',
    limit: '6, 12, 24 V',
    value: volts,
  })
}

function limitsOf({ limits }: SizeRequest, { optional }: QuantityReader): Pick<SizingInput, 'limits'> {
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

function sizingOf(body: SizeRequest, reader: QuantityReader): SizingInput {
  const { required, optional } = reader
  const duty = DUTIES.find(({ id }) => id === body.duty)
  const { exponent, ageingFactor, designFactor } = body
  const factors = given({ exponent, ageingFactor, designFactor })
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
    ...limitsOf(body, reader),
    ...suitabilityOf(body, reader),
  }
}

interface SizeInput {
  sizing: SizingInput
  atHandAh?: number
}
const toInput = (body: SizeRequest, reader: QuantityReader): SizeInput => ({
  sizing: sizingOf(body, reader),
  ...reader.optional('atHandAh', body.atHand, 'A.h', '/atHand'),
})

/** Standby time of the battery at hand, or why there is none. */
function atHandOf({ sizing, atHandAh }: SizeInput) {
  if (atHandAh === undefined) return {}
  const hours = atPointer('/atHand', () => hoursGiven(sizing, atHandAh))
  const capacity = { value: atHandAh, unit: 'A.h' }
  if (hours.standbyHours === undefined) return { atHand: { capacity, reason: hours.reason } }
  return { atHand: { capacity, standbyDuration: { value: hours.standbyHours, unit: 'h' } } }
}

export const batterySizeCalculation: Calculation<typeof SizeRequestSchema, typeof SizeAnswerSchema, SizeInput> = {
  path: '/v1/battery/size',
  operationId: 'sizeBattery',
  batchId: 'sizeBatteries',
  tag: 'battery',
  summary: 'Size of a standby battery from its loads, with the derivation',
  request: SizeRequestSchema,
  answer: SizeAnswerSchema,
  read: toInput,
  compute: (wording, input) => ({ ...wordBatterySize(wording, input.sizing), ...atHandOf(input) }),
}
