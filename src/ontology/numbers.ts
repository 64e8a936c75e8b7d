import type { Levels, Probability } from './shape.ts'

/** The number behind a base rate; undefined when its level is not known. */
export function baseRateOf(levels: Levels, number: Probability): number | undefined {
  return number.value ?? levels.baseRate[number.level ?? '']
}

/** The number behind a link, leak or share; undefined when its level is not known. */
export function linkOf(levels: Levels, number: Probability): number | undefined {
  return number.value ?? levels.link[number.level ?? '']
}
