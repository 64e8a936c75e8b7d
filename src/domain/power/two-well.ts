/** Charge in the two wells [Ah]. */
export interface Wells {
  available: number
  bound: number
}
export interface WellShape {
  /** Share of the charge that is available when full. */
  availableFraction: number
  /** Rate of exchange [1/h]. */
  ratePerHour: number
}

/** Generic lead-acid, as an open simulation library records it (read). */
export const LEAD_ACID_WELLS: WellShape = { availableFraction: 0.315, ratePerHour: 1.24 }

/**
 * Charge in the wells after a time at constant current, exactly.
 *
 * E = exp(-k t), q0 = q1 + q2
 * q1(t) = q1 E + (q0 k c - I)(1 - E)/k - I c (k t - 1 + E)/k
 * q2(t) = q2 E + q0 (1 - c)(1 - E) - I (1 - c)(k t - 1 + E)/k
 *
 * @param wells - charge at the start [Ah]
 * @param currentA - discharge current [A], >= 0
 * @param hours - time [h], >= 0
 * @returns charge at the end [Ah]; negative available charge says that it ran empty on the way
 * @source manwell-mcgowan Solar Energy 50 (1993), from memory; checked against stepping
 * @example wellsAfter({ available: 2.205, bound: 4.795 }, 0.7, 2) // { available: 1.4097, bound: 4.1903 }
 */
export function wellsAfter(
  { available, bound }: Wells,
  currentA: number,
  hours: number,
  shape = LEAD_ACID_WELLS,
): Wells {
  const { availableFraction: c, ratePerHour: k } = shape
  const decay = Math.exp(-k * hours)
  const total = available + bound
  const drift = k * hours - 1 + decay
  return {
    available: available * decay + ((total * k * c - currentA) * (1 - decay)) / k - (currentA * c * drift) / k,
    bound: bound * decay + total * (1 - c) * (1 - decay) - (currentA * (1 - c) * drift) / k,
  }
}

/**
 * Full wells of a battery that gives its rated capacity at its rated time, in Ah.
 *
 * the charge q0 at which the available well is empty after H hours at C / H
 *
 * @source own-derivation from the two-well equations, which are linear in q0
 */
export function fullWells(ratedCapacityAh: number, ratedDurationHours: number, shape = LEAD_ACID_WELLS): Wells {
  const full = (total: number): Wells => ({
    available: total * shape.availableFraction,
    bound: total * (1 - shape.availableFraction),
  })
  const fromCharge = wellsAfter(full(1), 0, ratedDurationHours, shape).available
  const byCurrent = wellsAfter(full(0), ratedCapacityAh / ratedDurationHours, ratedDurationHours, shape).available
  return full(-byCurrent / fromCharge)
}

const BISECTIONS = 100

/**
 * Time until the available well is empty at constant current, in h.
 *
 * @returns undefined when it is not empty within `withinHours`
 * @source two-well equations, root by bisection
 */
export function hoursUntilEmpty(
  wells: Wells,
  currentA: number,
  withinHours: number,
  shape = LEAD_ACID_WELLS,
): number | undefined {
  const left = (hours: number) => wellsAfter(wells, currentA, hours, shape).available
  if (left(withinHours) > 0) return undefined
  let [low, high] = [0, withinHours]
  for (let round = 0; round < BISECTIONS; round++) {
    const middle = (low + high) / 2
    if (left(middle) > 0) low = middle
    else high = middle
  }
  return low
}
