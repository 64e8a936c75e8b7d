import type { CombinedProtection, Reserve } from '../domain/advice/protection.ts'
import type { ProtectionWords } from '../ontology/protection-shape.ts'
import { BASIS_WORDS, type Standing } from './protected-standing.ts'
import type { Wording } from './texts.ts'

const HOUR_MS = 3_600_000
const HOURS_A_DAY = 24
const COMPUTED =
  'computed from the stated capacity and current, from a worn to a new battery fully charged at the start; a reported fault of the battery lowers it'

const spoken = (hours: number) =>
  hours > 2 * HOURS_A_DAY ? `${Math.round(hours / HOURS_A_DAY)} days` : `${Math.round(hours)} h`

/** A range as it is said aloud: never a single figure. */
function spokenRange({ battery, lowHours, highHours }: Reserve): string {
  const from = battery === 'own' ? 'from the first warning' : 'from when the power went, not from this call'
  if (highHours === undefined) return 'how long is not known'
  if (highHours === 0) return 'no time can be promised'
  if (!lowHours) return `at most ${spoken(highHours)} as a rule, perhaps only minutes, ${from}`
  return `about ${spoken(lowHours)} to ${spoken(highHours)} as a rule, ${from}`
}

/** Where a range comes from: computed, or the least certain basis of what the conditions state. */
function basisOf(standing: Standing, { battery, highHours }: Reserve, isComputed: boolean): string {
  if (highHours === undefined) return 'not stated'
  if (isComputed && battery === 'main') return COMPUTED
  const bases = standing.flatMap(({ stated }) => (stated?.lasts?.battery === battery ? [stated.lasts.basis] : []))
  return BASIS_WORDS[(['judgement', 'practice'] as const).find((basis) => bases.includes(basis)) ?? 'published']
}

/** When each battery in use ends, as a range; moments in full hours, rounded down, for a cut that began with the call. */
export function wordUntil(
  wording: Wording,
  words: ProtectionWords,
  { standing, now, isComputed }: { standing: Standing; now: CombinedProtection; isComputed: boolean },
  atMs?: number,
) {
  return now.until.map((reserve) => {
    const { battery, lowHours = 0, highHours } = reserve
    const moment = (hours: number) => new Date(Math.floor((atMs! + hours * HOUR_MS) / HOUR_MS) * HOUR_MS).toISOString()
    const isPlaced = atMs !== undefined && highHours !== undefined && highHours > 0 && battery !== 'own'
    const lasts = { low: { value: lowHours, unit: 'h' }, high: { value: highHours ?? lowHours, unit: 'h' } }
    return {
      battery,
      ...(highHours === undefined ? {} : { lasts }),
      ...(isPlaced ? { ifPowerWentNow: { from: moment(lowHours), to: moment(highHours) } } : {}),
      say: `${wording.say(words.batteries[battery])}: ${spokenRange(reserve)}.`,
      basis: basisOf(standing, reserve, isComputed),
    }
  })
}
