import type { MeterError } from '../../../domain/readings/interpret.ts'

/** Meter assumed when none is stated: 1 % + 5 counts of 0.01 V; 1.5 % + 5 counts of 0.1 Ohm. Judgement. */
export const UNKNOWN_METER: Record<'V' | 'Ohm', MeterError> = {
  V: { percentOfReading: 1, absolute: 0.05 },
  Ohm: { percentOfReading: 1.5, absolute: 0.5 },
}
