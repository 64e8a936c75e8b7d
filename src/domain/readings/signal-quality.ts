import { DomainError } from '../errors.ts'

/** Received level that a signal quality number stands for; the ends of the scale are inequalities. */
export interface SignalLevel {
  dbm: number
  is: 'exactly' | 'at-most' | 'at-least'
}

/** Half of the 2 dB between two numbers [dB]. */
export const SIGNAL_QUALITY_HALF_STEP_DB = 1

const refuse = (detail: string, csq: number): never => {
  throw new DomainError('QUANTITY_OUT_OF_RANGE', detail, { path: '/quantity/value', limit: '0 to 31', value: csq })
}

/**
 * Received level of a mobile path from its signal quality number.
 *
 * 2 to 30: -113 + 2 n dBm; 0 is that or less, 31 is -51 dBm or more
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE for 99, which says that the level is not known, and for what the table does not hold
 * @source 3gpp-ts-27.007 8.5 (copy of the table read)
 * @example levelOfSignalQuality(15) // { dbm: -83, is: 'exactly' }
 */
export function levelOfSignalQuality(csq: number): SignalLevel {
  if (csq === 99)
    return refuse('signal quality 99 says that the level is not known: wait until the mobile part has registered', csq)
  if (!Number.isInteger(csq) || csq < 0 || csq > 31)
    return refuse(`signal quality must be a whole number from 0 to 31, got ${csq}`, csq)
  if (csq === 0) return { dbm: -113, is: 'at-most' }
  if (csq === 31) return { dbm: -51, is: 'at-least' }
  return { dbm: -113 + 2 * csq, is: 'exactly' }
}
