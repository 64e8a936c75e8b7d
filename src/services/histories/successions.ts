import type { SuccessionRule } from '../../domain/histories/analyse-history.ts'

export const MAINS = 'condition/mains-missing'
export const BATTERY_LOW = 'condition/battery-low'

/** Successions that are looked for, fixed before any list is seen. Times and meanings: judgement. */
export const SUCCESSIONS: readonly (SuccessionRule & { meaning: string })[] = [
  {
    first: MAINS,
    second: BATTERY_LOW,
    withinHours: 24,
    meaning:
      'Within minutes of the mains loss: the battery is worn or too small. After hours: it worked and ran down, so the supply is to be looked at.',
  },
  {
    first: MAINS,
    second: 'condition/ip-path-down',
    withinHours: 1,
    meaning: 'The internet box at the site goes off with the mains.',
  },
  {
    first: MAINS,
    second: 'condition/phone-line-missing',
    withinHours: 1,
    meaning: 'The telephone adapter at the site goes off with the mains.',
  },
  {
    first: BATTERY_LOW,
    second: 'condition/system-restarted',
    withinHours: 24,
    meaning: 'The system lost all power and started again.',
  },
  {
    first: 'condition/phone-line-missing',
    second: 'condition/report-not-delivered',
    withinHours: 2,
    meaning: 'The line is the trouble, not the far end or the number.',
  },
  {
    first: 'condition/radio-jamming',
    second: 'condition/radio-device-missing',
    withinHours: 24,
    meaning: 'Interference or the receiver, not the devices.',
  },
]
