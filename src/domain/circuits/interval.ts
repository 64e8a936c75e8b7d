import { DomainError } from '../errors.ts'

/** A closed interval of resistance or voltage; `high` may be infinite for an open circuit. */
export interface Interval {
  low: number
  high: number
}

export const exactly = (value: number): Interval => ({ low: value, high: value })

/** A value with a tolerance: [v (1 - t), v (1 + t)]. */
export const toleranced = (value: number, toleranceFraction: number): Interval => ({
  low: value * (1 - toleranceFraction),
  high: value * (1 + toleranceFraction),
})

export const OPEN: Interval = exactly(Number.POSITIVE_INFINITY)

/**
 * Resistances in series.
 *
 * R = sum(R_i); each end of the interval is the sum of those ends
 *
 * @source ohm's law; interval arithmetic, textbook (from memory)
 * @example series(exactly(100), { low: 1, high: 2 }) // { low: 101, high: 102 }
 */
export function series(...parts: readonly Interval[]): Interval {
  return {
    low: parts.reduce((sum, { low }) => sum + low, 0),
    high: parts.reduce((sum, { high }) => sum + high, 0),
  }
}

const conductance = (ohm: number) => (ohm === 0 ? Number.POSITIVE_INFINITY : 1 / ohm)

/**
 * Resistances in parallel, in the form that counts each of them once.
 *
 * R = 1 / sum(1 / R_i)
 *
 * @source ohm's law; the product form would count each variable twice and widen the result
 * @example parallel(exactly(2200), exactly(1000)) // { low: 687.5, high: 687.5 }
 */
export function parallel(...parts: readonly Interval[]): Interval {
  const at = (end: 'low' | 'high') => 1 / parts.reduce((sum, part) => sum + conductance(part[end]), 0)
  return { low: at('low'), high: at('high') }
}

export const meets = (a: Interval, b: Interval): boolean => a.low <= b.high && b.low <= a.high

/**
 * Voltage across a resistance behind a pull-up.
 *
 * V = Vs R / (Rp + R), written Vs / (Rp / R + 1) so that an open circuit gives Vs
 *
 * @source ohm's law; rises with Vs and R, falls with Rp, so that ends go with ends
 * @example dividerVoltage(exactly(10), exactly(4700), exactly(4740)) // 5.0212
 */
export function dividerVoltage(supplyV: Interval, pullUpOhm: Interval, ohm: Interval): Interval {
  const at = (supply: number, pullUp: number, resistance: number) =>
    resistance === 0 ? 0 : supply / (pullUp / resistance + 1)
  return { low: at(supplyV.low, pullUpOhm.high, ohm.low), high: at(supplyV.high, pullUpOhm.low, ohm.high) }
}

/**
 * Resistance behind a terminal voltage.
 *
 * R = Rp V / (Vs - V)
 *
 * @returns an interval whose high end is infinite where the voltage may equal the supply
 * @throws DomainError QUANTITY_OUT_OF_RANGE when the voltage is above the supply or below 0 whatever the errors are
 * @source ohm's law; rises with V and Rp, falls with Vs, so that corners suffice
 * @example loopResistance({ low: 5.5, high: 5.5 }, exactly(10), exactly(4700)) // 5744.4
 */
export function loopResistance(terminalV: Interval, supplyV: Interval, pullUpOhm: Interval): Interval {
  if (terminalV.high < 0)
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      'measured must be at least 0 V: are the leads reversed, or is there a foreign voltage?',
      {
        path: '/measured',
        limit: '0 V',
        value: terminalV.high,
      },
    )
  if (terminalV.low > supplyV.high)
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      `measured must be at most the supply, ${supplyV.high} V: a foreign voltage, or another supply?`,
      {
        path: '/measured',
        limit: `${supplyV.high} V`,
        value: terminalV.low,
      },
    )
  const at = (volts: number, supply: number, pullUp: number) =>
    volts >= supply ? Number.POSITIVE_INFINITY : (pullUp * Math.max(0, volts)) / (supply - volts)
  return { low: at(terminalV.low, supplyV.high, pullUpOhm.low), high: at(terminalV.high, supplyV.low, pullUpOhm.high) }
}
