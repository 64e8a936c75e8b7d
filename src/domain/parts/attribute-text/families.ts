import type { Placed, Token } from './tokens.ts'
import type { Family } from './types.ts'

/** Part classes by the kind of part that reading goes by; a class that is not here leaves it to the text. */
const BY_CLASS: readonly (readonly [RegExp, Family])[] = [
  [/vrla/, 'lead-acid'],
  [/nimh-pack|li-ion-pack/, 'battery'],
  [/primary-battery-pack|-cell(?:-|$)|half-aa/, 'cell'],
  [/battery-lead|tab-insulator/, 'battery-lead'],
  [/battery-box/, 'box'],
  [/supply-ac/, 'transformer'],
  [/supply-dc|poe-or-usb|enclosed-mains/, 'dc-supply'],
  [/resistor/, 'resistor'],
  [/fuse/, 'fuse'],
  [/^radio-/, 'radio'],
  [/sounder|strobe/, 'sounder'],
  [/phone-cord|network-cable/, 'cord'],
  [/cable/, 'cable'],
  [/reed-contact|magnet|tamper-switch/, 'contact'],
  [/detector/, 'detector'],
]

/** Kind of part of a part class; undefined for one that says nothing of units. */
export const familyOfClass = (partClass: string): Family | undefined => {
  const name = partClass.replace(/^part-class\//, '')
  return BY_CLASS.find(([pattern]) => pattern.test(name))?.[1]
}

const BY_DIMENSION: Partial<Record<string, Family>> = {
  charge: 'battery',
  'apparent-power': 'transformer',
  resistance: 'resistor',
  sound: 'sounder',
  gauge: 'cable',
}

function evidenceOf(token: Token): Family | undefined {
  if (token.kind === 'fact') return token.fact.evidence
  if (token.kind === 'cell-name') return token.isAlsoAmperes ? undefined : 'cell'
  if (token.kind === 'part-size') return 'cell'
  if (token.kind === 'fuse') return 'fuse'
  if (token.kind === 'letters') return 'resistor'
  if (token.kind === 'cores-of-area') return 'cable'
  if (token.kind !== 'quantity') return undefined
  if (token.dimension === 'frequency' && token.unit === 'MHz') return 'radio'
  if (token.dimension === 'voltage' && token.current === 'ac' && token.form === 'one') return 'transformer'
  return BY_DIMENSION[token.dimension]
}

/** What outweighs what where a text speaks for several kinds of part. */
const STRENGTH: readonly Family[] = [
  'fuse',
  'sounder',
  'cable',
  'cord',
  'lead-acid',
  'cell',
  'contact',
  'transformer',
  'dc-supply',
  'battery',
  'resistor',
  'radio',
]

/** Kind of part that a text is about: by its class, by a word that names it, or by what only such a part has. */
export function familyOf(tokens: readonly Placed[], partClass: string | undefined): Family {
  const given = partClass === undefined ? undefined : familyOfClass(partClass)
  if (given) return given
  const named = tokens.flatMap(({ token }) => (token.kind === 'kind-of-part' ? [token.family] : []))
  const evidence = new Set(tokens.flatMap(({ token }) => evidenceOf(token) ?? []))
  const [first] = named
  const strongest = STRENGTH.find((family) => evidence.has(family))
  if (first === 'battery') return strongest === 'lead-acid' || strongest === 'cell' ? strongest : 'battery'
  if (first === 'supply') return evidence.has('transformer') ? 'transformer' : 'dc-supply'
  return first ?? strongest ?? 'unknown'
}
