import { within } from '../quantities/within.ts'

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
