import { z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import { type BatteryHealthInput, batteryHealth } from '../../../domain/power/battery-health.ts'
import type { OutageEvidence } from '../../../domain/power/health-evidence.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'

const OutageSchema = z.strictObject({
  loadCurrent: QuantitySchema,
  elapsed: QuantitySchema.openapi({ description: 'From the loss of the mains itself, not from its delayed report' }),
  endedBy: z.enum(['battery-low', 'mains-restored']),
  onMainsBefore: QuantitySchema.optional(),
  loadCurrentRelativeUncertainty: z.number().min(0).max(1).optional(),
  elapsedUncertainty: QuantitySchema.optional(),
})
const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    ratedCapacity: QuantitySchema,
    ratedDuration: QuantitySchema.optional(),
    nominalVoltage: z
      .union([z.literal(6), z.literal(12), z.literal(24)])
      .optional()
      .openapi({ description: 'V; 12 when left out' }),
    temperature: QuantitySchema.optional(),
    outages: z.array(OutageSchema).max(20).optional(),
    restVoltage: z.strictObject({ voltage: QuantitySchema, rest: QuantitySchema }).optional(),
    loadTest: z
      .strictObject({
        voltageAfter5Min: QuantitySchema,
        voltageAfter30Min: QuantitySchema.optional(),
        voltageBefore: QuantitySchema.optional().openapi({ description: 'At rest, just before the load' }),
        loadCurrent: QuantitySchema.optional(),
      })
      .optional(),
    capacityTest: z
      .strictObject({
        duration: QuantitySchema.openapi({ description: 'Until the end voltage, at a current that the maker rates' }),
        ratedDuration: QuantitySchema.openapi({ description: "The maker's time for that current" }),
        temperature: QuantitySchema.optional(),
      })
      .optional(),
    age: z
      .strictObject({
        age: QuantitySchema,
        designLife: QuantitySchema.optional(),
        temperature: QuantitySchema.optional(),
      })
      .optional(),
  })
  .openapi('BatteryHealthRequest', {
    example: {
      ratedCapacity: { value: 7, unit: 'Ah' },
      outages: [{ loadCurrent: { value: 0.42, unit: 'A' }, elapsed: { value: 6, unit: 'h' }, endedBy: 'battery-low' }],
      restVoltage: { voltage: { value: 12.7, unit: 'V' }, rest: { value: 6, unit: 'h' } },
    },
  })
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    verdict: z.enum(['sound', 'worn', 'cannot-tell']),
    because: z.string(),
    capacity: z
      .object({
        lowFraction: z.number(),
        fraction: z.number(),
        highFraction: z.number(),
        probabilityBelowEndOfLife: z.number(),
      })
      .optional()
      .openapi({ description: 'Share of the rated capacity, two standard uncertainties either way' }),
    atLeastFraction: z.number().optional(),
    endOfLife: z.object({ fraction: z.number(), source: z.string() }),
    findings: z.array(
      z.object({
        evidence: z.enum(['outage', 'rest-voltage', 'load-test', 'capacity-test', 'age']),
        verdict: z.enum(['sound', 'worn', 'suspect', 'cannot-tell']),
        text: z.string(),
        source: z.string(),
        estimate: z.object({ fraction: z.number(), uncertainty: z.number() }).optional(),
        atLeastFraction: z.number().optional(),
        internalResistance: AmountSchema.optional(),
      }),
    ),
  })
  .openapi('BatteryHealthAnswer')

function outage(
  body: z.infer<typeof OutageSchema>,
  index: number,
  { required, optional }: QuantityReader,
): OutageEvidence {
  const at = `/outages/${index}`
  return given({
    loadCurrentA: required(body.loadCurrent, 'A', `${at}/loadCurrent`),
    elapsedHours: required(body.elapsed, 'h', `${at}/elapsed`),
    endedBy: body.endedBy,
    ...optional('hoursOnMainsBefore', body.onMainsBefore, 'h', `${at}/onMainsBefore`),
    ...optional('elapsedUncertaintyHours', body.elapsedUncertainty, 'h', `${at}/elapsedUncertainty`),
    loadCurrentRelativeUncertainty: body.loadCurrentRelativeUncertainty,
  }) as OutageEvidence
}

function toInput(
  { restVoltage, loadTest, capacityTest, age, ...body }: z.infer<typeof RequestSchema>,
  reader: QuantityReader,
): BatteryHealthInput {
  const { required, optional } = reader
  return given({
    ratedCapacityAh: required(body.ratedCapacity, 'A.h', '/ratedCapacity'),
    ...optional('ratedDurationHours', body.ratedDuration, 'h', '/ratedDuration'),
    ...optional('temperatureC', body.temperature, 'Cel', '/temperature'),
    nominalVoltageV: body.nominalVoltage,
    outages: body.outages?.map((entry, index) => outage(entry, index, reader)),
    restVoltage: restVoltage && {
      voltageV: required(restVoltage.voltage, 'V', '/restVoltage/voltage'),
      restHours: required(restVoltage.rest, 'h', '/restVoltage/rest'),
    },
    loadTest: loadTest && {
      voltageAfter5MinV: required(loadTest.voltageAfter5Min, 'V', '/loadTest/voltageAfter5Min'),
      ...optional('voltageAfter30MinV', loadTest.voltageAfter30Min, 'V', '/loadTest/voltageAfter30Min'),
      ...optional('voltageBeforeV', loadTest.voltageBefore, 'V', '/loadTest/voltageBefore'),
      ...optional('loadCurrentA', loadTest.loadCurrent, 'A', '/loadTest/loadCurrent'),
    },
    capacityTest: capacityTest && {
      actualHours: required(capacityTest.duration, 'h', '/capacityTest/duration'),
      ratedHours: required(capacityTest.ratedDuration, 'h', '/capacityTest/ratedDuration'),
      ...optional('temperatureC', capacityTest.temperature, 'Cel', '/capacityTest/temperature'),
    },
    age: age && {
      ageYears: required(age.age, 'a', '/age/age'),
      ...optional('designLifeYears', age.designLife, 'a', '/age/designLife'),
      ...optional('temperatureC', age.temperature, 'Cel', '/age/temperature'),
    },
  }) as BatteryHealthInput
}

export const batteryHealthCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, BatteryHealthInput> = {
  path: '/v1/battery/health',
  operationId: 'assessBatteryHealth',
  batchId: 'assessBatteriesHealth',
  tag: 'battery',
  summary: 'Whether a battery still has the capacity that counts as sound, from whatever is known',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = batteryHealth(input)
    const { verdict, because, capacity, atLeastFraction, endOfLife, findings } = result
    return {
      ...accountOf(wording, result),
      verdict,
      because,
      ...(capacity && { capacity }),
      ...(atLeastFraction === undefined ? {} : { atLeastFraction }),
      endOfLife,
      findings: findings.map(({ internalResistanceOhm, ...finding }) => ({
        ...finding,
        ...(internalResistanceOhm === undefined
          ? {}
          : { internalResistance: { value: internalResistanceOhm, unit: 'Ohm' } }),
      })),
    }
  },
}
