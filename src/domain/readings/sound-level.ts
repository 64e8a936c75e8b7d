import { within } from '../quantities/within.ts'

/**
 * Level of a sounder at another distance, in dB.
 *
 * L2 = L1 - 20 log10(d2 / d1)
 *
 * @validity free field from a point; indoors it is louder than this
 * @source inverse square law, textbook
 * @example levelAtDistance(105, 3, 30) // 85
 */
export function levelAtDistance(levelDb: number, atM: number, toM: number): number {
  within(atM, '/distance', 0.01, 1000, 'm')
  within(toM, '/distance', 0.01, 10_000, 'm')
  return levelDb - 20 * Math.log10(toM / atM)
}

/**
 * Time that a level may be borne in a day, in min, by the recommended limit.
 *
 * T = 480 / 2^((L - 85) / 3)
 *
 * @source niosh recommended exposure limit (as reported)
 * @example exposureMinutesNiosh(100) // 15
 */
export const exposureMinutesNiosh = (levelDba: number): number => 480 / 2 ** ((levelDba - 85) / 3)

/**
 * Time that a level may be borne in a day, in h, by the legal limit of the United States.
 *
 * T = 8 / 2^((L - 90) / 5)
 *
 * @source 29 CFR 1910.95 appendix A (read)
 * @example exposureHoursOsha(85) // 16
 */
export const exposureHoursOsha = (levelDba: number): number => 8 / 2 ** ((levelDba - 90) / 5)

/** From here on nobody stays without ear protection. Judgement. */
const NO_STAY_FROM_DBA = 115

/** What to say before a sounder is tested. */
function exposureCaution(levelDba: number): string {
  if (levelDba >= NO_STAY_FROM_DBA) return 'No ear protection, do not stay: damage comes within seconds.'
  const minutes = exposureMinutesNiosh(levelDba)
  if (minutes >= 480) return 'No limit for a short test.'
  const time = minutes >= 1 ? `${Math.floor(minutes)} minutes` : `${Math.floor(minutes * 60)} seconds`
  return `At most ${time} a day without ear protection. Warn everybody first, and never test it with the caller beside it.`
}

export interface Exposure {
  minutesRecommended: number
  minutesLegal: number
  caution: string
}

/**
 * How long a level may be borne in a day, by two limits, and what to say before a test.
 *
 * @param levelDba - A-weighted level where the person stands [dB]
 * @source niosh recommended exposure limit (as reported); 29 CFR 1910.95 appendix A (read)
 * @example exposureAt(100).minutesRecommended // 15
 */
export const exposureAt = (levelDba: number): Exposure => ({
  minutesRecommended: exposureMinutesNiosh(levelDba),
  minutesLegal: 60 * exposureHoursOsha(levelDba),
  caution: exposureCaution(levelDba),
})
