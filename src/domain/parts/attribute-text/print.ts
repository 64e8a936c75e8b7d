import { DomainError } from '../../errors.ts'
import type { ReadAttribute } from './types.ts'

type Printable = Pick<ReadAttribute, 'name' | 'value' | 'range' | 'list'>
type Values = ReadonlyMap<string, Printable>

/** A number without an exponent, and never with exactly three decimals, which two countries read differently. */
function plain(value: number): string {
  const short = Number(value.toPrecision(12))
  const text = /e/.test(String(short)) ? short.toFixed(12).replace(/\.?0+$/, '') : String(short)
  return /^\d{1,3}\.\d{3}$/.test(text) ? `${text}0` : text
}

function amount({ value, range, list }: Printable, unit: string, scale = 1): string {
  const one = (number: unknown) => plain(Number(number) * scale)
  if (range) return `${one(range.min)}-${one(range.max)} ${unit}`
  if (list) return `${list.map(one).join('/')} ${unit}`
  return `${one(value)} ${unit}`
}

const WORDS: Record<string, string> = {
  agm: 'AGM',
  'lithium-iron-phosphate': 'LiFePO4',
  'lithium-ion': 'Li-ion',
  'nickel-metal-hydride': 'NiMH',
  'nickel-cadmium': 'NiCd',
  'alkaline-manganese': 'alkaline',
  'center-plus': 'center positive',
  'center-minus': 'center negative',
  SPDT: 'SPDT',
}
const word = ({ value }: Printable) => WORDS[String(value)] ?? String(value).replaceAll('-', ' ')
const asIs = ({ value }: Printable) => String(value)
const either = (yes: string, no: string) => (given: Printable) => (given.value === true ? yes : no)
const inUnit = (unit: string, scale?: number) => (given: Printable) => amount(given, unit, scale)

/** The text of measures that stand together, under the name of the first of them. */
const solid = (values: Values): string | undefined => {
  const [length, width, height, body] = ['lengthMm', 'widthMm', 'heightMm', 'caseHeightMm'].map((name) =>
    values.get(name),
  )
  if (!length || !width || !height) return undefined
  const of = ({ value }: Printable) => plain(Number(value))
  const last = body ? `${of(body)}(${of(height)})` : of(height)
  return `${of(length)}x${of(width)}x${last} mm`
}
const barrel = (values: Values): string | undefined => {
  const [outer, inner] = ['barrelOuterMm', 'barrelInnerMm'].map((name) => values.get(name))
  return outer && inner && `${plain(Number(outer.value))}x${plain(Number(inner.value))} mm`
}
const voltage = (given: Printable, values: Values): string => {
  const kind = values.get('voltageKind')
  return `${amount(given, 'V')}${kind ? String(kind.value).toUpperCase() : ''}`
}
const hasVoltage = (values: Values) => VOLTAGES.some((name) => values.has(name))
const VOLTAGES = ['nominalVoltageV', 'outputVoltageV', 'supplyVoltageV']

/** How each attribute is written, in the order of a title; undefined where another one has already said it. */
const FORMS: readonly (readonly [name: string, (given: Printable, values: Values) => string | undefined])[] = [
  ['sizeName', (given, values) => (values.has('diameterMm') ? undefined : asIs(given))],
  ['diameterMm', (given, values) => `${plain(Number(given.value))}x${plain(Number(values.get('lengthMm')?.value))}`],
  ['fuseSpeed', asIs],
  ['ratedCurrentA', inUnit('A')],
  ['breakingCapacity', asIs],
  ['voltageV', inUnit('V')],
  ['voltageKind', (given, values) => (hasVoltage(values) ? undefined : String(given.value).toUpperCase())],
  ['inputVoltageV', (given) => `Input ${amount(given, 'V')}`],
  ...VOLTAGES.map((name) => [name, voltage] as const),
  [
    'capacityAh',
    (given, values) =>
      amount(given, 'Ah') + (values.has('dischargeHours') ? `/${values.get('dischargeHours')!.value} h` : ''),
  ],
  ['dischargeHours', () => undefined],
  ['currentA', inUnit('A')],
  ['apparentPowerVA', inUnit('VA')],
  ['resistanceOhm', inUnit('ohm')],
  ['powerW', inUnit('W')],
  ['toleranceFraction', inUnit('%', 100)],
  ['chemistry', word],
  ['rechargeable', either('rechargeable', 'non-rechargeable')],
  ['terminal', (given) => (given.value === 'bolt-and-nut' ? 'bolt-and-nut' : asIs(given))],
  ['flameRetardantCase', either('UL 94 V-0', '')],
  ['gaugeAwg', inUnit('AWG')],
  ['conductors', inUnit('core')],
  ['areaMm2', (given, values) => (values.has('gaugeAwg') ? undefined : amount(given, 'mm2'))],
  ['conductorForm', asIs],
  ['shielded', either('shielded', 'unshielded')],
  ['sheathClass', asIs],
  ['connector', asIs],
  ['lengthM', inUnit('m')],
  ['lengthMm', (given, values) => (values.has('diameterMm') ? undefined : (solid(values) ?? amount(given, 'mm')))],
  ['widthMm', () => undefined],
  ['heightMm', () => undefined],
  ['caseHeightMm', () => undefined],
  ['barrelInnerMm', (given, values) => barrel(values) ?? amount(given, 'mm')],
  ['barrelOuterMm', () => undefined],
  ['polarity', word],
  ['regulated', either('regulated', 'unregulated')],
  ['bandMHz', inUnit('MHz')],
  ['frequencyHz', inUnit('Hz')],
  [
    'soundPressureDb',
    (given, values) =>
      amount(given, 'dB') + (values.has('soundDistanceM') ? ` @ ${amount(values.get('soundDistanceM')!, 'm')}` : ''),
  ],
  ['soundDistanceM', () => undefined],
  ['contactForm', word],
  ['gapMm', (given) => `${amount(given, 'mm')} gap`],
  ['ipRating', asIs],
  ['packQuantity', (given) => `pack of ${given.value}`],
]
const FORM = new Map(FORMS)

/** Attributes that have a written form. */
export const PRINTABLE: readonly string[] = FORMS.map(([name]) => name)

/**
 * Attributes as the text of a title that reads back as the same attributes.
 *
 * read(print(attributes)) = attributes, for the class of the part
 *
 * @throws DomainError UNKNOWN_ID for an attribute that has no written form
 * @validity numbers of up to 12 significant digits; measures of a block only all three together, a distance only behind
 *   a sound level, an hour rate only behind a capacity
 * @source none: the form is this reader's own
 * @example printAttributes([{ name: 'nominalVoltageV', value: 12 }, { name: 'capacityAh', value: 7 }]) // '12 V 7 Ah'
 */
export function printAttributes(attributes: readonly Printable[]): string {
  const values = new Map(attributes.map((attribute) => [attribute.name, attribute]))
  for (const name of values.keys())
    if (!FORM.has(name))
      throw new DomainError('UNKNOWN_ID', `attribute must be one that has a written form, got ${name}`, { value: name })
  const texts = FORMS.flatMap(([name, form]) => {
    const given = values.get(name)
    return given ? [form(given, values)] : []
  })
  return texts.filter((text) => text !== undefined && text !== '').join(' ')
}
