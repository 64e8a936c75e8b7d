/** How sure a number is: read in the source itself, reported by another text, or recalled. */
export type Certainty = 'read' | 'reported' | 'memory'
export type MarginCover = 'ageing' | 'design'

export interface DutyMargin {
  factor: number
  /** What the margin already allows for, so that it is not counted again. */
  covers: readonly MarginCover[]
  name: string
}

export interface Duty {
  id: string
  title: string
  standbyHours: number
  /** Absent where the source states none: the caller gives it. */
  alarmHours?: number
  /** Whether the alarm comes after the standby period or within it. */
  alarmPeriod: 'follows' | 'inside'
  method: 'charge' | 'derated-alarm'
  margin?: DutyMargin
  /** Time to restore 80 % of the charge, where the source gives one. */
  rechargeLimitHours?: number
  source: string
  edition: string
  certainty: Certainty
  note?: string
}

const MINUTE_HOURS = 1 / 60
const NFPA_2010: DutyMargin = { factor: 1.2, covers: ['ageing', 'design'], name: 'NFPA 72 safety margin' }
const NFPA_2022: DutyMargin = { factor: 1.25, covers: ['ageing'], name: 'NFPA 72 ageing allowance' }
const BS_5839: DutyMargin = { factor: 1.25, covers: ['ageing'], name: 'BS 5839-1 ageing allowance' }

function nfpa(id: string, title: string, minutes: number, margin: DutyMargin, edition: string): Duty {
  return {
    id,
    title,
    standbyHours: 24,
    alarmHours: minutes * MINUTE_HOURS,
    alarmPeriod: 'follows',
    method: 'charge',
    margin,
    source: 'NFPA 72, durations and margin as secondary texts report them',
    edition,
    certainty: 'reported',
  }
}

function plain(
  id: string,
  title: string,
  hours: { standby: number; alarmMinutes?: number },
  origin: Pick<Duty, 'source' | 'edition' | 'certainty' | 'note'>,
): Duty {
  const alarm = hours.alarmMinutes === undefined ? {} : { alarmHours: hours.alarmMinutes * MINUTE_HOURS }
  return { id, title, standbyHours: hours.standby, ...alarm, alarmPeriod: 'follows', method: 'charge', ...origin }
}

function graded(id: string, title: string, standbyHours: number, rechargeLimitHours?: number, note?: string): Duty {
  return {
    id,
    title,
    standbyHours,
    alarmPeriod: 'inside',
    method: 'charge',
    ...(rechargeLimitHours === undefined ? {} : { rechargeLimitHours }),
    source: 'EN 50131-1 clause 9, recalled; IEC 62642-1 recalled as technically the same',
    edition: 'not verified',
    certainty: 'memory',
    ...(note === undefined ? {} : { note }),
  }
}

function fireBs(id: string, title: string, standbyHours: number): Duty {
  return {
    id,
    title,
    standbyHours,
    alarmHours: 0.5,
    alarmPeriod: 'follows',
    method: 'derated-alarm',
    margin: BS_5839,
    rechargeLimitHours: 24,
    source: 'BS 5839-1 Annex E, as a secondary text reports it; recharge EN 54-4 5.3.1, as quoted',
    edition: '2025',
    certainty: 'reported',
  }
}

const memory = (source: string, note?: string) => ({
  source: `${source}, recalled`,
  edition: 'not verified',
  certainty: 'memory' as const,
  ...(note === undefined ? {} : { note }),
})
const read = (source: string, edition: string) => ({ source, edition, certainty: 'read' as const })
const HALVED = 'Half the time because the mains fault is reported to a receiving centre; grades 3 and 4 only.'
const UFC = read('UFC 4-021-02NF, 9-6.3.1', '2006 with change 1')

/** Duties whose numbers are known well enough to offer; a corrected number needs no code. */
export const DUTIES: readonly Duty[] = [
  nfpa('nfpa-72-2010-protected-premises', 'Fire alarm in protected premises', 5, NFPA_2010, '2010 to 2019'),
  nfpa('nfpa-72-2010-voice', 'Fire alarm with voice or mass notification', 15, NFPA_2010, '2010 to 2019'),
  nfpa('nfpa-72-2022-protected-premises', 'Fire alarm in protected premises', 5, NFPA_2022, '2022'),
  nfpa('nfpa-72-2022-voice', 'Fire alarm with voice or mass notification', 15, NFPA_2022, '2022'),
  plain(
    'nfpa-72-household',
    'Household fire alarm',
    { standby: 24, alarmMinutes: 4 },
    { source: 'NFPA 72 11.6.2(2), quoted in a trade journal', edition: '2007', certainty: 'reported' },
  ),
  plain('ul-985-household-fire', 'Household fire alarm unit', { standby: 24, alarmMinutes: 4 }, memory('UL 985')),
  plain('ul-1023-household-burglary', 'Household burglar alarm', { standby: 4, alarmMinutes: 4 }, memory('UL 1023')),
  plain(
    'ul-commercial-burglary',
    'Commercial burglar alarm, local sounding',
    { standby: 4, alarmMinutes: 15 },
    memory('UL 681, 1610 and 2610', 'Weakly remembered: confirm before relying on it.'),
  ),
  plain(
    'ul-bank-safe-and-vault',
    'Bank safe and vault alarm',
    { standby: 72 },
    memory('UL bank safe and vault standard', 'Weakly remembered: confirm before relying on it.'),
  ),
  plain('csaa-sta-1', 'Burglar alarm, guide minimum', { standby: 4 }, read('CSAA STA 1 Guide, 2.4', '1996, rev. 2010')),
  plain('ufc-4-021-02nf-intrusion', 'Intrusion detection and its monitoring station', { standby: 8 }, UFC),
  plain('ufc-4-021-02nf-special-compartment', 'Special compartment', { standby: 24 }, UFC),
  graded('en-50131-1-a-grade-1', 'Intruder alarm, supply type A, grade 1', 12, 72),
  graded('en-50131-1-a-grade-2', 'Intruder alarm, supply type A, grade 2', 12, 72),
  graded('en-50131-1-a-grade-3', 'Intruder alarm, supply type A, grade 3', 60, 24),
  graded('en-50131-1-a-grade-4', 'Intruder alarm, supply type A, grade 4', 60, 24),
  graded('en-50131-1-a-grade-3-reported', 'Intruder alarm, type A, grade 3, mains fault reported', 30, 24, HALVED),
  graded('en-50131-1-a-grade-4-reported', 'Intruder alarm, type A, grade 4, mains fault reported', 30, 24, HALVED),
  graded('en-50131-1-b-grade-1', 'Intruder alarm, supply type B, grade 1', 24),
  graded('en-50131-1-b-grade-2', 'Intruder alarm, supply type B, grade 2', 24),
  graded('en-50131-1-b-grade-3', 'Intruder alarm, supply type B, grade 3', 120),
  graded('en-50131-1-b-grade-4', 'Intruder alarm, supply type B, grade 4', 120),
  graded(
    'en-50131-1-b-grade-3-reported',
    'Intruder alarm, type B, grade 3, mains fault reported',
    60,
    undefined,
    HALVED,
  ),
  graded(
    'en-50131-1-b-grade-4-reported',
    'Intruder alarm, type B, grade 4, mains fault reported',
    60,
    undefined,
    HALVED,
  ),
  graded('en-50131-1-c', 'Intruder alarm on battery alone, supply type C, any grade', 720),
  graded(
    'en-50131-1-supplementary-source',
    'Intruder alarm with a supplementary source that takes over by itself',
    4,
    undefined,
    'Weakly remembered: confirm before relying on it.',
  ),
  fireBs('bs-5839-1-attended', 'Fire detection, category L or M, or a fault would be seen within a day', 24),
  fireBs('bs-5839-1-unattended', 'Fire detection, category P in premises that may stand empty', 72),
]
