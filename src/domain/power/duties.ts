/** How long a system must stand by and sound, by published duty. */
export interface Duty {
  id: string
  title: string
  standbyHours: number
  /** 0 where the source states none: the caller gives it. */
  alarmHours: number
  /** The duty's own margin; `safety` is a general one that covers ageing and design. Absent where the duty states none. */
  margin?: { factor: number; covers: 'ageing' | 'safety' }
  /** Method that the duty itself prescribes. */
  rule?: 'derated-alarm'
  /** Time within which 80 % of the charge must be back, where known. */
  rechargeHours?: number
  source: string
  /** How sure the figures are: read in the standard's own text, reported by another text, or from memory. */
  certainty: 'read' | 'reported' | 'memory'
}

const MINUTES = 1 / 60

/** Figures of standards that were not read in full: check the edition in force where the system stands. */
export const DUTIES: readonly Duty[] = [
  {
    id: 'nfpa-72-protected-premises-2019',
    title: 'Fire alarm of protected premises, NFPA 72 up to 2019',
    standbyHours: 24,
    alarmHours: 5 * MINUTES,
    margin: { factor: 1.2, covers: 'safety' },
    source: 'NFPA 72 (2010 to 2019 editions) 10.6.7.2.1',
    certainty: 'reported',
  },
  {
    id: 'nfpa-72-protected-premises-2022',
    title: 'Fire alarm of protected premises, NFPA 72 from 2022',
    standbyHours: 24,
    alarmHours: 5 * MINUTES,
    margin: { factor: 1.25, covers: 'ageing' },
    source: 'NFPA 72 (2022) 10.6.10.1',
    certainty: 'reported',
  },
  {
    id: 'nfpa-72-household',
    title: 'Household fire alarm, NFPA 72',
    standbyHours: 24,
    alarmHours: 4 * MINUTES,
    source: 'NFPA 72 (2007) 11.6.2(2)',
    certainty: 'reported',
  },
  {
    id: 'ul-1023-household-burglary',
    title: 'Household burglar alarm, UL 1023',
    standbyHours: 4,
    alarmHours: 4 * MINUTES,
    source: 'UL 1023',
    certainty: 'memory',
  },
  {
    id: 'csaa-sta-1-intrusion',
    title: 'Intrusion alarm, CSAA STA 1 Guide',
    standbyHours: 4,
    alarmHours: 0,
    source: 'CSAA STA 1 Guide 1996 (rev. 2010) 2.4',
    certainty: 'read',
  },
  {
    id: 'ufc-4-021-02-intrusion',
    title: 'Electronic security system, UFC 4-021-02NF',
    standbyHours: 8,
    alarmHours: 0,
    source: 'UFC 4-021-02NF (2006) 9-6.3.1',
    certainty: 'read',
  },
  {
    id: 'ufc-4-021-02-compartment',
    title: 'Special compartment, UFC 4-021-02NF',
    standbyHours: 24,
    alarmHours: 0,
    source: 'UFC 4-021-02NF (2006) 9-6.3.1',
    certainty: 'read',
  },
  {
    id: 'en-50131-1-a-grade-1-2',
    title: 'Intruder alarm grade 1 or 2, supply type A, EN 50131-1',
    standbyHours: 12,
    alarmHours: 0,
    rechargeHours: 72,
    source: 'EN 50131-1 clause 9',
    certainty: 'memory',
  },
  {
    id: 'en-50131-1-a-grade-3-4',
    title: 'Intruder alarm grade 3 or 4, supply type A, EN 50131-1',
    standbyHours: 60,
    alarmHours: 0,
    rechargeHours: 24,
    source: 'EN 50131-1 clause 9',
    certainty: 'memory',
  },
  {
    id: 'en-50131-1-a-grade-3-4-reported',
    title: 'Intruder alarm grade 3 or 4, type A, mains fault reported to a centre, EN 50131-1',
    standbyHours: 30,
    alarmHours: 0,
    rechargeHours: 24,
    source: 'EN 50131-1 clause 9',
    certainty: 'memory',
  },
  {
    id: 'bs-5839-1-l-m',
    title: 'Fire alarm category L or M, BS 5839-1',
    standbyHours: 24,
    alarmHours: 0.5,
    margin: { factor: 1.25, covers: 'ageing' },
    rule: 'derated-alarm',
    rechargeHours: 24,
    source: 'BS 5839-1 (2025) Annex E; recharge EN 54-4 5.3.1',
    certainty: 'reported',
  },
  {
    id: 'bs-5839-1-p-unoccupied',
    title: 'Fire alarm category P that may stand empty, BS 5839-1',
    standbyHours: 72,
    alarmHours: 0.5,
    margin: { factor: 1.25, covers: 'ageing' },
    rule: 'derated-alarm',
    rechargeHours: 24,
    source: 'BS 5839-1 (2025) Annex E; recharge EN 54-4 5.3.1',
    certainty: 'reported',
  },
  {
    id: 'nfpa-72-voice-2019',
    title: 'Fire alarm with voice or mass notification, NFPA 72 up to 2019',
    standbyHours: 24,
    alarmHours: 15 * MINUTES,
    margin: { factor: 1.2, covers: 'safety' },
    source: 'NFPA 72 (2010 to 2019 editions) 10.6.7.2.1',
    certainty: 'reported',
  },
  {
    id: 'nfpa-72-voice-2022',
    title: 'Fire alarm with voice or mass notification, NFPA 72 from 2022',
    standbyHours: 24,
    alarmHours: 15 * MINUTES,
    margin: { factor: 1.25, covers: 'ageing' },
    source: 'NFPA 72 (2022) 10.6.10.1',
    certainty: 'reported',
  },
  {
    id: 'ul-985-household-fire',
    title: 'Household fire alarm unit, UL 985',
    standbyHours: 24,
    alarmHours: 4 * MINUTES,
    source: 'UL 985',
    certainty: 'memory',
  },
  {
    id: 'ul-commercial-burglary',
    title: 'Commercial burglar alarm with local sounding, UL 681, 1610, 2610',
    standbyHours: 4,
    alarmHours: 15 * MINUTES,
    source: 'UL 681, 1610 and 2610, weakly remembered',
    certainty: 'memory',
  },
  {
    id: 'ul-bank-safe-vault',
    title: 'Bank safe and vault alarm, UL',
    standbyHours: 72,
    alarmHours: 0,
    source: 'UL bank safe and vault alarms, weakly remembered',
    certainty: 'memory',
  },
  {
    id: 'en-50131-1-b-grade-1-2',
    title: 'Intruder alarm grade 1 or 2, supply type B, EN 50131-1',
    standbyHours: 24,
    alarmHours: 0,
    source: 'EN 50131-1 clause 9',
    certainty: 'memory',
  },
  {
    id: 'en-50131-1-b-grade-3-4',
    title: 'Intruder alarm grade 3 or 4, supply type B, EN 50131-1',
    standbyHours: 120,
    alarmHours: 0,
    source: 'EN 50131-1 clause 9',
    certainty: 'memory',
  },
  {
    id: 'en-50131-1-b-grade-3-4-reported',
    title: 'Intruder alarm grade 3 or 4, type B, mains fault reported to a centre, EN 50131-1',
    standbyHours: 60,
    alarmHours: 0,
    source: 'EN 50131-1 clause 9',
    certainty: 'memory',
  },
  {
    id: 'en-50131-1-c',
    title: 'Intruder alarm on battery alone, supply type C, EN 50131-1',
    standbyHours: 720,
    alarmHours: 0,
    source: 'EN 50131-1 clause 9',
    certainty: 'memory',
  },
  {
    id: 'en-50131-1-supplementary-source',
    title: 'Intruder alarm with a supplementary source that takes over by itself, EN 50131-1',
    standbyHours: 4,
    alarmHours: 0,
    source: 'EN 50131-1 clause 9, weakly remembered',
    certainty: 'memory',
  },
]
