import { DomainError } from '../errors.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import type { LoopInput, LoopScheme } from './loop-types.ts'

const NEEDED: Record<LoopScheme, readonly ('endOfLineOhm' | 'alarmOhm' | 'faultOhm')[]> = {
  none: [],
  single: ['endOfLineOhm'],
  'double-series': ['endOfLineOhm', 'alarmOhm'],
  'double-parallel': ['endOfLineOhm', 'alarmOhm'],
  triple: ['endOfLineOhm', 'alarmOhm', 'faultOhm'],
}
const POINTER = { endOfLineOhm: '/endOfLine', alarmOhm: '/alarmPart', faultOhm: '/faultPart' } as const

function present(input: LoopInput, field: keyof typeof POINTER): void {
  if (!NEEDED[input.scheme].includes(field)) return
  const value = input[field]
  if (value === undefined)
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      `${POINTER[field].slice(1)} is needed for the scheme ${input.scheme}`,
      {
        path: POINTER[field],
      },
    )
  within(value, POINTER[field], 1, 1e7, 'Ohm')
}

/** Refuses everything that is wrong with a loop at once. */
export function checkLoop(input: LoopInput): void {
  const optional = (value: number | undefined, path: string, low: number, high: number, unit: string) => () =>
    value === undefined ? undefined : within(value, path, low, high, unit)
  refuseTogether([
    () => present(input, 'endOfLineOhm'),
    () => present(input, 'alarmOhm'),
    () => present(input, 'faultOhm'),
    optional(input.toleranceFraction, '/tolerance', 0, 0.5, '1'),
    optional(input.wireOhm, '/wire', 0, 1e6, 'Ohm'),
    optional(input.contactOhm, '/contacts', 0, 1e6, 'Ohm'),
    optional(input.leakageOhm, '/leakage', 1, 1e12, 'Ohm'),
    optional(input.supplyV, '/supply', 0.1, 60, 'V'),
    optional(input.supplyToleranceFraction, '/supplyTolerance', 0, 0.5, '1'),
    optional(input.pullUpOhm, '/pullUp', 1, 1e7, 'Ohm'),
    optional(input.pullUpToleranceFraction, '/pullUpTolerance', 0, 0.5, '1'),
    optional(input.measured?.boundAbsolute, '/meter', 0, 1e9, input.measured?.unit ?? ''),
    () => checkMeasured(input),
  ])
}

function checkMeasured({ measured, supplyV, pullUpOhm }: LoopInput): void {
  if (measured === undefined) return
  within(measured.value, '/measured', measured.unit === 'V' ? -100 : 0, 1e9, measured.unit)
  if (measured.unit === 'V' && (supplyV === undefined || pullUpOhm === undefined))
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'supply and pullUp are needed to read a loop by its voltage', {
      path: '/supply',
    })
}
