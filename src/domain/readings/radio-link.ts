import { DomainError } from '../errors.ts'
import { within } from '../quantities/within.ts'

const SPEED_OF_LIGHT_M_PER_S = 299_792_458

/**
 * Loss of a radio path in free space, in dB.
 *
 * L = 20 log10(4 pi d f / c)
 *
 * @validity far field, line of sight; not below about one wavelength
 * @source itu-r-p.525 (as reported); exact constant 32.4478 for MHz and km
 * @example freeSpaceLossDb(433.92, 20) // 51.22
 */
export function freeSpaceLossDb(frequencyMHz: number, distanceM: number): number {
  within(frequencyMHz, '/frequency', 1, 100_000, 'MHz')
  within(distanceM, '/distance', 0.01, 1e7, 'm')
  return 20 * Math.log10((4 * Math.PI * distanceM * frequencyMHz * 1e6) / SPEED_OF_LIGHT_M_PER_S)
}

/**
 * Loss of a radio path inside a building, in dB.
 *
 * L = 20 log10(f) + N log10(d) + Lf - 28
 *
 * @source itu-r-p.1238, an older edition's form (as reported); N = 33 for an office at 900 MHz from memory
 * @example indoorLossDb(915, 20, 33) // 74.16
 */
export const indoorLossDb = (frequencyMHz: number, distanceM: number, coefficient: number, floorLossDb = 0): number =>
  20 * Math.log10(frequencyMHz) + coefficient * Math.log10(distanceM) + floorLossDb - 28

/** Margin for fading that a link should keep [dB]. Judgement. */
export const WANTED_MARGIN_DB = 10

/** Margin of a link [dB]: radiated power + gain of the receiver - losses - sensitivity. */
export const linkMarginDb = (
  eirpDbm: number,
  receiverGainDbi: number,
  lossesDb: number,
  sensitivityDbm: number,
): number => eirpDbm + receiverGainDbi - lossesDb - sensitivityDbm

/** Signal quality 0 to 31 as a level; the ends are inequalities, 99 is unknown. */
export type SignalLevel = { dbm: number; is: 'exactly' | 'at-most' | 'at-least' } | { is: 'unknown' }

/**
 * Received level of a mobile path from its signal quality number.
 *
 * 2 to 30: -113 + 2 n dBm
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE for numbers that the table does not know
 * @source 3gpp-ts-27.007 8.5 (copy of the table read)
 * @example levelOfCsq(15) // { dbm: -83, is: 'exactly' }
 */
export function levelOfCsq(csq: number): SignalLevel {
  if (csq === 99) return { is: 'unknown' }
  if (!Number.isInteger(csq) || csq < 0 || csq > 31)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', `csq must be 0 to 31 or 99, got ${csq}`, {
      path: '/csq',
      limit: '0 to 31 or 99',
      value: csq,
    })
  if (csq === 0) return { dbm: -113, is: 'at-most' }
  if (csq === 31) return { dbm: -51, is: 'at-least' }
  return { dbm: -113 + 2 * csq, is: 'exactly' }
}
