import { within } from '../quantities/within.ts'

/** Boltzmann constant [eV/K], exact by the SI of 2019. */
const BOLTZMANN_EV_PER_K = 8.617333262e-5

/**
 * Life of a battery at a temperature, in years, halved for each step above 25 degrees C.
 *
 * L(T) = L25 * 2^(-(T - 25) / step), and never more than L25
 *
 * @param lifeYearsAt25C - design life [a], > 0
 * @param temperatureC - temperature of the battery [degrees C]
 * @param halvingStepC - 8 to 10 degrees C; the literature's step is all over the board
 * @validity cold is not credited: other wear then dominates (judgement)
 * @source a battery reference page and two texts for steps of 8, 8.3 and 10 degrees C (as reported)
 * @example serviceLifeYears(10, 33, 8) // 5
 */
export function serviceLifeYears(lifeYearsAt25C: number, temperatureC: number, halvingStepC: number): number {
  within(lifeYearsAt25C, '/designLife', 0.1, 50, 'a')
  within(temperatureC, '/temperature', -40, 70, 'degrees C')
  within(halvingStepC, '/halvingStep', 5, 15, 'degrees C')
  return lifeYearsAt25C * Math.min(1, 2 ** (-(temperatureC - 25) / halvingStepC))
}

/**
 * Life under a mix of temperatures, in years: wear adds up.
 *
 * 1 / L = sum(share / L(T))
 *
 * @source own-derivation from linear damage
 * @example mixedLifeYears(5, [{ temperatureC: 25, fraction: 0.5 }, { temperatureC: 35, fraction: 0.5 }], 8) // 2.96
 */
export function mixedLifeYears(
  lifeYearsAt25C: number,
  shares: readonly { temperatureC: number; fraction: number }[],
  halvingStepC: number,
): number {
  const wear = shares.reduce(
    (sum, { temperatureC, fraction }) => sum + fraction / serviceLifeYears(lifeYearsAt25C, temperatureC, halvingStepC),
    0,
  )
  return 1 / wear
}

/**
 * Activation energy that changes life by a ratio between two temperatures, in eV (Arrhenius).
 *
 * Ea = kB * ln(ratio) / (1/T2 - 1/T1)
 *
 * @source arrhenius, solved for the energy
 * @example activationEnergyEV(25, 35, 0.5) // 0.5488
 */
export function activationEnergyEV(fromC: number, toC: number, lifeRatio: number): number {
  const inverse = 1 / (toC + 273.15) - 1 / (fromC + 273.15)
  return (BOLTZMANN_EV_PER_K * Math.log(lifeRatio)) / inverse
}
