import { z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import { type BatteryRuntimeInput, batteryRuntime, type Hours } from '../../../domain/power/battery-runtime.ts'
import { MODELS } from '../../../domain/power/runtime-models.ts'
import { drawRuntime } from '../../../services/drawings/runtime-plot.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'
import { BATTERIES, suitabilityOf } from './suitability.ts'

const CLOCK = /^(?:[01]\d|2[0-3]):[0-5]\d$/

const DischargeTestSchema = z.strictObject({ current: QuantitySchema, duration: QuantitySchema })

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    ratedCapacity: QuantitySchema,
    ratedDuration: QuantitySchema.optional().openapi({ description: 'Time the rating holds for; 20 h when left out' }),
    standbyCurrent: QuantitySchema,
    alarmCurrent: QuantitySchema.optional().openapi({ description: 'Whole current in alarm' }),
    alarmDuration: QuantitySchema.optional(),
    exponent: z.number().min(1).max(2).optional().openapi({
      description: 'Peukert exponent; every usual one of sealed batteries counts when left out',
    }),
    dischargeTests: z
      .tuple([DischargeTestSchema, DischargeTestSchema])
      .optional()
      .openapi({ description: 'Two discharges to the same end voltage, that the exponent follows from' }),
    cutOff: QuantitySchema.optional().openapi({ description: 'Voltage at which the system cuts the battery off' }),
    nominalVoltage: z
      .union([z.literal(6), z.literal(12), z.literal(24)])
      .optional()
      .openapi({ description: 'V; 12 when left out' }),
    temperature: QuantitySchema.optional(),
    capacityFraction: z.number().min(0.01).max(1.2).optional().openapi({ description: 'Share left by age; 1 is new' }),
    ...BATTERIES,
    startsAt: z.string().regex(CLOCK, 'must be a time such as 22:30').optional().openapi({
      description: 'When the mains went, 24-hour clock',
    }),
  })
  .openapi('BatteryRuntimeRequest', {
    example: {
      ratedCapacity: { value: 7, unit: 'Ah' },
      standbyCurrent: { value: 250, unit: 'mA' },
      alarmCurrent: { value: 1.2, unit: 'A' },
      alarmDuration: { value: 15, unit: 'min' },
      startsAt: '22:30',
    },
  })

const RangeSchema = z.object({ low: AmountSchema, high: AmountSchema })
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    standby: RangeSchema.openapi({ description: 'Standby alone until empty: least to most over the models' }),
    ifItRings: RangeSchema.optional().openapi({ description: 'When the alarm rings first, for its whole time' }),
    keepingAlarm: RangeSchema.optional().openapi({ description: 'Standby that still leaves the alarm its time' }),
    models: z.array(
      z.object({
        model: z.enum(MODELS),
        hours: RangeSchema.optional(),
        reason: z.string().optional().openapi({ description: 'Why the model says nothing here' }),
        curve: z.array(z.object({ after: AmountSchema, leftFraction: z.number() })),
      }),
    ),
    until: z.object({ low: z.string(), high: z.string() }).optional().openapi({
      description: 'Clock times between which it may stop; "+1" days follow where it is later',
    }),
    endVoltage: AmountSchema.optional().openapi({ description: 'End of discharge at the standby current' }),
    sentence: z.string().openapi({ description: 'For a caller' }),
  })
  .openapi('BatteryRuntimeAnswer')

function toInput(body: z.infer<typeof RequestSchema>, reader: QuantityReader): BatteryRuntimeInput {
  const { required, optional } = reader
  const { alarmCurrent, alarmDuration, startsAt, dischargeTests } = body
  const test = ({ current, duration }: z.infer<typeof DischargeTestSchema>, index: number) => ({
    currentA: required(current, 'A', `/dischargeTests/${index}/current`),
    durationHours: required(duration, 'h', `/dischargeTests/${index}/duration`),
  })
  const [hours, minutes] = (startsAt ?? '0:0').split(':').map(Number) as [number, number]
  const alarm =
    alarmCurrent === undefined
      ? undefined
      : {
          currentA: required(alarmCurrent, 'A', '/alarmCurrent'),
          hours: alarmDuration === undefined ? 0.25 : required(alarmDuration, 'h', '/alarmDuration'),
        }
  const measured: BatteryRuntimeInput['dischargeTests'] = dischargeTests && [
    test(dischargeTests[0], 0),
    test(dischargeTests[1], 1),
  ]
  return given({
    ratedCapacityAh: required(body.ratedCapacity, 'A.h', '/ratedCapacity'),
    standbyCurrentA: required(body.standbyCurrent, 'A', '/standbyCurrent'),
    ...optional('ratedDurationHours', body.ratedDuration, 'h', '/ratedDuration'),
    ...optional('temperatureC', body.temperature, 'Cel', '/temperature'),
    exponent: body.exponent,
    dischargeTests: measured,
    ...optional('cutOffV', body.cutOff, 'V', '/cutOff'),
    nominalVoltageV: body.nominalVoltage,
    capacityFraction: body.capacityFraction,
    startsAtMinute: startsAt === undefined ? undefined : hours * 60 + minutes,
    alarm,
    ...suitabilityOf(body, reader),
  }) as BatteryRuntimeInput
}

const hoursAmount = (value: number) => ({ value, unit: 'h' })
const range = ({ lowHours, highHours }: Hours) => ({ low: hoursAmount(lowHours), high: hoursAmount(highHours) })

const MINUTES_PER_DAY = 1440
/** "03:10", with the days that passed behind it. */
function clock(minute: number): string {
  const days = Math.floor(minute / MINUTES_PER_DAY)
  const rest = minute % MINUTES_PER_DAY
  const time = `${String(Math.floor(rest / 60)).padStart(2, '0')}:${String(rest % 60).padStart(2, '0')}`
  return days === 0 ? time : `${time} +${days}`
}

const STOPS =
  'Then the system goes dead: no siren, no report, no sensors on its wires; radio sensors keep their own batteries.'

function sentenceOf({ standby, ifItRings, untilMinute }: ReturnType<typeof batteryRuntime>): string {
  const about = untilMinute
    ? `About until ${clock(untilMinute.low)} to ${clock(untilMinute.high)}`
    : `About ${standby.lowHours.toFixed(1)} to ${standby.highHours.toFixed(1)} hours`
  const less = ifItRings ? `, less if it rings (${ifItRings.lowHours.toFixed(1)} hours or more)` : ''
  return `${about}${less}. ${STOPS}`
}

export const batteryRuntimeCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, BatteryRuntimeInput> = {
  path: '/v1/battery/runtime',
  operationId: 'estimateBatteryRuntime',
  batchId: 'estimateBatteryRuntimes',
  tag: 'battery',
  summary: 'How long a battery carries its load, as a range over several models',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = batteryRuntime(input)
    return {
      ...accountOf(wording, result),
      standby: range(result.standby),
      ...(result.ifItRings && { ifItRings: range(result.ifItRings) }),
      ...(result.keepingAlarm && { keepingAlarm: range(result.keepingAlarm) }),
      models: result.models.map(({ model, hours, reason, curve }) => ({
        model,
        ...(hours && { hours: range(hours) }),
        ...(reason === undefined ? {} : { reason }),
        curve: curve.map(({ hours: after, leftFraction }) => ({ after: hoursAmount(after), leftFraction })),
      })),
      ...(result.untilMinute && {
        until: { low: clock(result.untilMinute.low), high: clock(result.untilMinute.high) },
      }),
      ...(result.endVoltageV === undefined ? {} : { endVoltage: { value: result.endVoltageV, unit: 'V' } }),
      sentence: sentenceOf(result),
    }
  },
  draw: (input) => drawRuntime(batteryRuntime(input)),
}
