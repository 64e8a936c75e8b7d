import type { Answer, Input } from '../../../sdk/src/index.ts'

type Finding = Input<'diagnose'>['findings'][number]
export type Diagnosis = Answer<'diagnose'>
export type NextCheck = Diagnosis['nextChecks'][number]

/** What the caller first says: two items, and a hint that the display holds more. */
export const FIRST_WORDS: Finding[] = [
  { kind: 'condition', condition: 'condition/mains-missing', state: 'present', source: 'caller' },
  { kind: 'condition', condition: 'condition/battery-low', state: 'present', source: 'caller' },
  { kind: 'screen', complete: false, source: 'caller' },
]

/** What the caller finds on opening the rest of the display. */
export const REST_OF_DISPLAY: Finding[] = [
  { kind: 'condition', condition: 'condition/radio-sensor-battery-low', state: 'present', device: 'back door sensor' },
  { kind: 'condition', condition: 'condition/clock-not-set', state: 'present' },
  { kind: 'screen', complete: true },
]

/** The house of this call: what the caller will answer when asked. Anything else: "I don't know". */
const ANSWERS: Record<string, string> = {
  'check/ask-on-test': 'not-monitored',
  'check/ask-power-feed': 'plug-in-block',
  'check/ask-system-kind': 'both',
  'check/read-mains-lamp': 'off',
  'check/other-rooms-powered': 'powered',
  'check/lamp-in-socket': 'lights',
  'check/ask-power-both-lost': 'went-dark',
  'check/danger-hot-plug': 'no',
  'check/see-supply-plugged': 'out',
  'check/ask-recent-work': 'cleaning',
  'check/ask-recent-power-cut': 'none',
  'check/ask-battery-age': 'over-four-years',
  'check/ask-cells-age': 'over-two-years',
  'check/ask-recent-battery-change': 'none',
}

/** The caller's answer to a check that a remedy waits for. */
export function answerById(check: string): Finding {
  return { kind: 'answer', check, result: ANSWERS[check] ?? 'dont-know' }
}

/** The caller's answer to a check, as a finding. */
export function answerTo(check: NextCheck): Finding {
  const wanted = ANSWERS[check.check]
  const isOffered = check.results.some(({ result }) => result === wanted)
  return {
    kind: 'answer',
    check: check.check,
    result: wanted !== undefined && isOffered ? wanted : 'dont-know',
    ...(check.device === undefined ? {} : { device: check.device }),
  }
}

/** The reading that the caller took last night with one lead off the battery. */
export function restReading(volts: number): Finding {
  return {
    kind: 'reading',
    reading: 'reading/battery-rest-voltage',
    quantity: { value: volts, unit: 'V' },
    meter: { percentOfReading: 0.8, digits: 2, resolution: { value: 0.01, unit: 'V' } },
  }
}

/** What the panel draws: the labels of the devices, added up by the shop. */
export const LOADS: Input<'sizeBattery'> = {
  loads: [
    {
      label: 'panel and keypad',
      quantity: 1,
      standbyCurrent: { value: 130, unit: 'mA' },
      alarmCurrent: { value: 260, unit: 'mA' },
    },
    { label: 'motion sensor', quantity: 4, standbyCurrent: { value: 12, unit: 'mA' } },
    { label: 'radio receiver', quantity: 1, standbyCurrent: { value: 35, unit: 'mA' } },
    { label: 'siren', quantity: 1, standbyCurrent: { value: 0, unit: 'mA' }, alarmCurrent: { value: 0.7, unit: 'A' } },
  ],
  method: 'load-charge',
  standbyDuration: { value: 24, unit: 'h' },
  alarmDuration: { value: 15, unit: 'min' },
  limits: { maximumCapacity: { value: 9, unit: 'Ah' } },
}
