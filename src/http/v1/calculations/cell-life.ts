import { z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import { type CellLifeInput, cellLife } from '../../../domain/power/cell-life.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    designation: z.string().max(20).optional().openapi({ description: 'IEC 60086 designation or common name' }),
    capacity: QuantitySchema.optional(),
    nominalVoltage: QuantitySchema.optional(),
    cellsInParallel: z.number().int().min(1).max(16).optional(),
    cellsInSeries: z.number().int().min(1).max(16).optional(),
    sleepCurrent: QuantitySchema,
    eventsPerDay: z.number().min(0).max(1_000_000).openapi({ description: 'Supervision messages included' }),
    chargePerEvent: QuantitySchema,
    temperature: QuantitySchema.optional(),
    selfDischargePerYear: z.number().min(0).max(1).optional(),
    pulseCurrent: QuantitySchema.optional().openapi({ description: 'While a message is sent' }),
    internalResistance: QuantitySchema.optional().openapi({ description: 'Of one cell' }),
  })
  .openapi('CellLifeRequest', {
    example: {
      designation: 'CR17345',
      sleepCurrent: { value: 12, unit: 'uA' },
      eventsPerDay: 60,
      chargePerEvent: { value: 1.2, unit: 'uAh' },
    },
  })
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    months: z.object({ low: AmountSchema, high: AmountSchema }),
    isCapped: z.boolean().openapi({ description: 'The range ends at ten years, where seals and shelf life end' }),
    averageCurrent: AmountSchema,
    selfDischargeCurrent: z.object({ low: AmountSchema, high: AmountSchema }),
    cell: z
      .object({
        designation: z.string(),
        commonName: z.string().optional(),
        system: z.string(),
        nominalVoltage: AmountSchema,
        capacity: z.object({ low: AmountSchema, high: AmountSchema }),
      })
      .optional(),
    packVoltage: AmountSchema.optional(),
    pulseSag: AmountSchema.optional().openapi({ description: 'Fall of the voltage during a pulse' }),
  })
  .openapi('CellLifeAnswer')

const microamperes = (value: number) => ({ value, unit: 'uA' })
const months = (value: number) => ({ value, unit: 'mo' })
const milliampereHours = (value: number) => ({ value, unit: 'mA.h' })

function toInput(body: z.infer<typeof RequestSchema>, { required, optional }: QuantityReader): CellLifeInput {
  return given({
    designation: body.designation,
    ...optional('capacityMAh', body.capacity, 'mA.h', '/capacity'),
    ...optional('nominalVoltageV', body.nominalVoltage, 'V', '/nominalVoltage'),
    ...optional('temperatureC', body.temperature, 'Cel', '/temperature'),
    cellsInParallel: body.cellsInParallel,
    cellsInSeries: body.cellsInSeries,
    sleepCurrentUA: required(body.sleepCurrent, 'uA', '/sleepCurrent'),
    eventsPerDay: body.eventsPerDay,
    chargePerEventUAh: required(body.chargePerEvent, 'uA.h', '/chargePerEvent'),
    selfDischargePerYearFraction: body.selfDischargePerYear,
    ...optional('pulseCurrentMA', body.pulseCurrent, 'mA', '/pulseCurrent'),
    ...optional('internalResistanceOhm', body.internalResistance, 'Ohm', '/internalResistance'),
  }) as CellLifeInput
}

export const cellLifeCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, CellLifeInput> = {
  path: '/v1/cells/life',
  operationId: 'estimateCellLife',
  batchId: 'estimateCellLives',
  tag: 'battery',
  summary: 'Life of the primary cells of a device, as a range in months',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = cellLife(input)
    const { cell, packVoltageV, pulseSagMV } = result
    return {
      ...accountOf(wording, result),
      months: { low: months(result.months.low), high: months(result.months.high) },
      isCapped: result.isCapped,
      averageCurrent: microamperes(result.averageCurrentUA),
      selfDischargeCurrent: {
        low: microamperes(result.selfDischargeCurrentUA.low),
        high: microamperes(result.selfDischargeCurrentUA.high),
      },
      ...(cell && {
        cell: {
          designation: cell.designation,
          ...(cell.commonName === undefined ? {} : { commonName: cell.commonName }),
          system: cell.system,
          nominalVoltage: { value: cell.nominalVoltageV, unit: 'V' },
          capacity: { low: milliampereHours(cell.capacityMAh[0]), high: milliampereHours(cell.capacityMAh[1]) },
        },
      }),
      ...(packVoltageV === undefined ? {} : { packVoltage: { value: packVoltageV, unit: 'V' } }),
      ...(pulseSagMV === undefined ? {} : { pulseSag: { value: pulseSagMV, unit: 'mV' } }),
    }
  },
}
