import { DomainError } from '../errors.ts'
import { within } from '../quantities/within.ts'

export const CHEMISTRIES = ['lead-acid', 'lithium-iron-phosphate', 'nickel-metal-hydride'] as const
export type Chemistry = (typeof CHEMISTRIES)[number]

/** Batteries that share a charger or a load, as far as it is stated. */
export interface Suitability {
  /** Lead-acid when left out. */
  chemistry?: Chemistry
  /** What the charger is made for; lead-acid when left out. */
  charges?: readonly Chemistry[]
  /** Age of each battery in parallel [a]. */
  agesInParallelYears?: readonly number[]
}

/** Ages nearer than this count as the same. Judgement. */
const SAME_AGE_YEARS = 0.5

/**
 * Refuses a battery that the charger is not made for, and one whose chemistry these computations do not know.
 * @throws DomainError CHEMISTRY_UNSUITABLE
 */
export function checkChemistry({ chemistry = 'lead-acid', charges = ['lead-acid'] }: Suitability): void {
  const limit = charges.includes(chemistry) ? 'lead-acid' : charges.join(', ')
  if (charges.includes(chemistry) && chemistry === 'lead-acid') return
  const detail = charges.includes(chemistry)
    ? `chemistry must be lead-acid, got ${chemistry}: these computations hold for no other`
    : `chemistry must be one that the charger is made for (${limit}), got ${chemistry}: it may catch fire or stay empty`
  throw new DomainError('CHEMISTRY_UNSUITABLE', detail, { path: '/chemistry', limit, value: chemistry })
}

/**
 * Refuses batteries in parallel that are not of one age: the old one drains the new one.
 * @throws DomainError UNLIKE_IN_PARALLEL
 */
export function checkAlike({ agesInParallelYears: ages = [] }: Suitability): void {
  ages.forEach((age, index) => {
    within(age, `/agesInParallel/${index}`, 0, 50, 'a')
  })
  const spread = ages.length > 0 ? Math.max(...ages) - Math.min(...ages) : 0
  if (spread <= SAME_AGE_YEARS) return
  throw new DomainError(
    'UNLIKE_IN_PARALLEL',
    `agesInParallel must lie within ${SAME_AGE_YEARS} a of each other, got ${spread} a apart: replace them together`,
    { path: '/agesInParallel', limit: `${SAME_AGE_YEARS} a`, value: spread },
  )
}
