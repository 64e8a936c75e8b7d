import { type Step, written } from '../quantities/derivation.ts'
import { levelOfSignalQuality, SIGNAL_QUALITY_HALF_STEP_DB, type SignalLevel } from './signal-quality.ts'
import { levelAtDistance } from './sound-level.ts'
import { thermistorTemperatureC } from './temperature-sensor.ts'

/** What was seen, where it is not yet the quantity of the reading itself. */
export type Observation =
  | { kind: 'signal-quality'; csq: number }
  | { kind: 'sound-level'; levelDb: number; distanceM: number }
  | {
      kind: 'thermistor'
      ohm: number
      nominalOhm: number
      betaK: number
      /** Limit of error of the ohmmeter [Ohm]. */
      boundOhm: number
    }

/** The observation in the quantity and unit of the reading. */
export interface Observed {
  value: number
  step: Step
  /** Limit of error that comes with the conversion, where it has one of its own. */
  absolute?: number
}

/** Readings of sound levels hold at this distance from the sounder [m]. */
export const SOUND_REFERENCE_M = 3

const SIGN = { exactly: '', 'at-most': ' or less', 'at-least': ' or more' } as const satisfies Record<
  SignalLevel['is'],
  string
>

function ofSignalQuality(csq: number): Observed {
  const { dbm, is } = levelOfSignalQuality(csq)
  return {
    value: dbm,
    absolute: SIGNAL_QUALITY_HALF_STEP_DB,
    step: {
      formula: 'level = -113 dBm + 2 dB x signal quality',
      substituted: `signal quality ${csq}${SIGN[is]}`,
      value: dbm,
      unit: 'dBm',
      source: '3GPP TS 27.007 8.5 (copy of the table read)',
    },
  }
}

function ofSoundLevel(levelDb: number, distanceM: number): Observed {
  const value = levelAtDistance(levelDb, distanceM, SOUND_REFERENCE_M)
  return {
    value,
    step: {
      formula: `level at ${SOUND_REFERENCE_M} m = level - 20 x log10(${SOUND_REFERENCE_M} m / distance)`,
      substituted: `${written(levelDb)} dB - 20 x log10(${SOUND_REFERENCE_M} m / ${written(distanceM)} m)`,
      value,
      unit: 'dB',
      source: 'inverse square law, textbook; indoors it is louder than this',
    },
  }
}

function ofThermistor({ ohm, nominalOhm, betaK, boundOhm }: Observation & { kind: 'thermistor' }): Observed {
  const at = (resistance: number) => thermistorTemperatureC(nominalOhm, betaK, resistance)
  const value = at(ohm)
  return {
    value,
    absolute: (at(Math.max(0, ohm - boundOhm)) - at(ohm + boundOhm)) / 2,
    step: {
      formula: 'temperature = 1 / (1 / 298.15 + ln(R / R25) / B) - 273.15',
      substituted: `R = ${written(ohm)} Ohm, R25 = ${written(nominalOhm)} Ohm, B = ${written(betaK)} K`,
      value,
      unit: 'Cel',
      source: 'IEC 60539 (as reported); a constant B errs by some per cent in the cold',
    },
  }
}

/**
 * What was seen as the quantity that the reading is about, with the step that leads there.
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @source each conversion names its own
 * @example observed({ kind: 'signal-quality', csq: 15 }).value // -83
 */
export function observed(observation: Observation): Observed {
  if (observation.kind === 'signal-quality') return ofSignalQuality(observation.csq)
  if (observation.kind === 'sound-level') return ofSoundLevel(observation.levelDb, observation.distanceM)
  return ofThermistor(observation)
}
