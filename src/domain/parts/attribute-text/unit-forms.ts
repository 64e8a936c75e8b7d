import { anyOf, opens } from './any-of.ts'

/** How people write units. A capital where a small letter is due, and the reverse, is read where nothing else can be meant. */
export type Dimension =
  | 'voltage'
  | 'current'
  | 'charge'
  | 'resistance'
  | 'power'
  | 'apparent-power'
  | 'frequency'
  | 'sound'
  | 'length'
  | 'area'
  | 'percent'
  | 'gauge'

export interface UnitForm {
  dimension: Dimension
  /** Spelling of the unit in the quantities core. */
  unit: string
  kind?: 'ac' | 'dc'
}
const BOUNDARY = '(?![A-Za-z])'
const form = (pattern: string, dimension: Dimension, unit: string, more: Partial<UnitForm> = {}, flags = '') => ({
  pattern: new RegExp(` {0,2}(?:${pattern})`, `y${flags}`),
  form: { dimension, unit, ...more },
})

const FORMS = [
  form(`V ?AC${BOUNDARY}|V ?~`, 'voltage', 'V', { kind: 'ac' }, 'i'),
  form(`V ?DC${BOUNDARY}|V ?=`, 'voltage', 'V', { kind: 'dc' }, 'i'),
  form(`(?:V|volts?)${BOUNDARY}`, 'voltage', 'V', {}, 'i'),
  form(`mV${BOUNDARY}`, 'voltage', 'mV'),
  form(`kV${BOUNDARY}`, 'voltage', 'kV'),
  form(`(?:A|amps?|amperes?)${BOUNDARY}`, 'current', 'A', {}, 'i'),
  form(`(?:mA|MA|milliamps?)${BOUNDARY}`, 'current', 'mA'),
  form(`uA${BOUNDARY}`, 'current', 'uA'),
  form(`(?:A[.\u00b7]?hr?|amp[ -]?hours?)${BOUNDARY}`, 'charge', 'Ah', {}, 'i'),
  // With a blank only in small letters: "1 A H" is a fuse of high breaking capacity.
  form(`A hr?${BOUNDARY}`, 'charge', 'Ah'),
  form(`mA[. \u00b7]?hr?${BOUNDARY}`, 'charge', 'mAh', {}, 'i'),
  form(`(?:\u03a9|ohms?${BOUNDARY})`, 'resistance', 'Ohm', {}, 'i'),
  form(`(?:k ?\u03a9|k[ -]?ohms?${BOUNDARY}|kilo-?ohms?${BOUNDARY})`, 'resistance', 'kOhm', {}, 'i'),
  form(`(?:M ?\u03a9|M[ -]?ohms?${BOUNDARY}|[Mm]eg-?ohms?${BOUNDARY})`, 'resistance', 'MOhm'),
  form(`(?:m\u03a9|mohms?${BOUNDARY}|milliohms?${BOUNDARY})`, 'resistance', 'mOhm'),
  form(`(?:W|watts?)${BOUNDARY}`, 'power', 'W', {}, 'i'),
  form(`mW${BOUNDARY}`, 'power', 'mW'),
  form(`(?:VA|volt-?amps?)${BOUNDARY}`, 'apparent-power', 'VA', {}, 'i'),
  form(`MHz${BOUNDARY}`, 'frequency', 'MHz', {}, 'i'),
  form(`kHz${BOUNDARY}`, 'frequency', 'kHz', {}, 'i'),
  form(`Hz${BOUNDARY}`, 'frequency', 'Hz', {}, 'i'),
  form(`(?:dB ?\\(A\\)|dBA?${BOUNDARY})`, 'sound', 'dB', {}, 'i'),
  form(`(?:mm|millimet(?:re|er)s?)${BOUNDARY}(?!2|\\^2)`, 'length', 'mm', {}, 'i'),
  form(`(?:cm|centimet(?:re|er)s?)${BOUNDARY}(?!2|\\^2)`, 'length', 'cm', {}, 'i'),
  form(`(?:m|met(?:re|er)s?)${BOUNDARY}(?!2|\\^2)`, 'length', 'm'),
  form(`(?:in|inch|inches)${BOUNDARY}|"|''`, 'length', 'in', {}, 'i'),
  form(`(?:ft|foot|feet)${BOUNDARY}`, 'length', 'ft', {}, 'i'),
  form(`(?:mm ?\\^?2|sq ?mm|mm sq)(?![A-Za-z0-9])`, 'area', 'mm2', {}, 'i'),
  form(`%|percent${BOUNDARY}`, 'percent', '%', {}, 'i'),
  form(`(?:awg|ga|gauge)${BOUNDARY}`, 'gauge', '1', {}, 'i'),
]

/** Whether any form can begin at a place: one look instead of one for each form. */
const ANY = anyOf(FORMS.map(({ pattern }) => pattern))

/**
 * The unit that is written at a place, longest form first, and where it ends.
 *
 * @source iso-80000 unit symbols from memory; other spellings common practice, no source
 * @example unitAt('12 VAC', 2)?.form.kind // 'ac'
 */
export function unitAt(text: string, at: number): { form: UnitForm; end: number } | undefined {
  if (!opens(ANY, text, at)) return undefined
  let best: { form: UnitForm; end: number } | undefined
  for (const { pattern, form: found } of FORMS) {
    pattern.lastIndex = at
    const match = pattern.exec(text)
    if (match && (best === undefined || at + match[0].length > best.end))
      best = { form: found, end: at + match[0].length }
  }
  return best
}
