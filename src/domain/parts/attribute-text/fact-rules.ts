import type { Fact, PatternRule, Rule } from './tokens.ts'
import type { Family, ReadValue } from './types.ts'

type More = Partial<Omit<Fact, 'name' | 'value'>>
type Entry = readonly [pattern: string, name: string, value: ReadValue, more?: More]

const BATTERY: readonly Family[] = ['lead-acid', 'cell', 'battery', 'unknown']
const TABBED: readonly Family[] = [...BATTERY, 'battery-lead']
const CABLE: readonly Family[] = ['cable', 'cord']
const SUPPLY: readonly Family[] = ['transformer', 'dc-supply', 'supply']
const CONTACT: readonly Family[] = ['contact', 'detector', 'unknown']

const open = (candidates: readonly ReadValue[], question: string, more: More = {}): More => ({
  certainty: 'ambiguous',
  candidates,
  question,
  ...more,
})
const LEAD = open(['agm', 'gel'], 'sealed lead-acid may be AGM or gel', { families: BATTERY, evidence: 'lead-acid' })
const CHEMISTRY: More = { evidence: 'battery' }
const CLOSED = 'N/C may mean closed with the magnet near (sense of the loop) or the form of the bare switch'
const OPEN = 'N/O may mean open with the magnet near (sense of the loop) or the form of the bare switch'

/** Words that say one attribute, longest first where one holds another; capital letters only where `case` asks. */
const WORDS: readonly Entry[] = [
  ['F([12])(?! ?(?:A|mA))', 'terminal', '', { families: TABBED, evidence: 'battery' }],
  ['M([56])', 'terminal', '', { families: ['lead-acid', 'battery', 'battery-lead'] }],
  [
    '(?:faston )?(?:\\.187|0\\.187|187)(?: ?(?:in|")? ?(?:tabs?|faston|terminals?))',
    'terminal',
    'F1',
    { families: TABBED },
  ],
  [
    '(?:faston )?(?:\\.250|0\\.25|0\\.250|250)(?: ?(?:in|")? ?(?:tabs?|faston|terminals?))',
    'terminal',
    'F2',
    { families: TABBED },
  ],
  ['4[.,](?:8|75) ?mm (?:tabs?|faston|terminals?)', 'terminal', 'F1', { families: TABBED, evidence: 'battery' }],
  ['6[.,](?:3|35) ?mm (?:tabs?|faston|terminals?)', 'terminal', 'F2', { families: TABBED, evidence: 'battery' }],
  ['nut (?:and|&) bolt|bolt (?:and|&) nut|bolt-and-nut', 'terminal', 'bolt-and-nut', { families: TABBED }],
  ['AGM', 'chemistry', 'agm', { families: BATTERY, evidence: 'lead-acid' }],
  ['gel(?! ?-?filled)', 'chemistry', 'gel', { families: BATTERY, evidence: 'lead-acid' }],
  ['flooded(?: lead[- ]acid)?|wet[- ]cell', 'chemistry', 'flooded-lead-acid', { families: BATTERY }],
  ['SLA|VRLA|(?:sealed )?lead[- ]acid', 'chemistry', 'agm', LEAD],
  ['li-?fe-?po4|LFP|lithium[- ]iron[- ]phosphate', 'chemistry', 'lithium-iron-phosphate', CHEMISTRY],
  ['li-?ion|lithium[- ]ion', 'chemistry', 'lithium-ion', CHEMISTRY],
  ['ni-?mh|nickel[- ]metal[- ]hydride', 'chemistry', 'nickel-metal-hydride', CHEMISTRY],
  ['ni-?cd|nickel[- ]cadmium', 'chemistry', 'nickel-cadmium', CHEMISTRY],
  ['alkaline(?: manganese)?', 'chemistry', 'alkaline-manganese', { evidence: 'cell' }],
  ['silver[- ]oxide', 'chemistry', 'silver-oxide', { evidence: 'cell' }],
  ['zinc[- ]carbon', 'chemistry', 'zinc-carbon', { evidence: 'cell' }],
  ['zinc[- ]air', 'chemistry', 'zinc-air', { evidence: 'cell' }],
  ['lithium[- ]thionyl(?:[- ]chloride)?|li-?socl2', 'chemistry', 'lithium-thionyl-chloride', { evidence: 'cell' }],
  ['lithium[- ]manganese(?:[- ]dioxide)?|li-?mno2', 'chemistry', 'lithium-manganese-dioxide', { evidence: 'cell' }],
  ['lithium[- ]iron[- ]disul(?:ph|f)ide|li-?fes2', 'chemistry', 'lithium-iron-disulfide', { evidence: 'cell' }],
  ['lithium', 'chemistry', 'lithium', { certainty: 'ambiguous', evidence: 'battery' }],
  ['non-?rechargeable', 'rechargeable', false, { evidence: 'battery' }],
  ['rechargeable', 'rechargeable', true, { evidence: 'battery' }],
  ['(?:UL ?-?94|94) ?-?V-?0', 'flameRetardantCase', true, { families: BATTERY }],
  ['stranded', 'conductorForm', 'stranded', { families: CABLE, evidence: 'cable' }],
  ['solid', 'conductorForm', 'solid', { families: CABLE }],
  ['un-?shielded|un-?screened', 'shielded', false, { families: CABLE, evidence: 'cable' }],
  ['shielded|screened', 'shielded', true, { families: CABLE, evidence: 'cable' }],
  ['LSZH|LSOH', 'sheathClass', 'LSZH', { families: CABLE, evidence: 'cable' }],
  ['plenum', 'sheathClass', 'plenum', { families: CABLE, evidence: 'cable' }],
  ['riser', 'sheathClass', 'riser', { families: CABLE, evidence: 'cable' }],
  ['(?:cent(?:re|er)|tip) ?-?(?:positive|plus|\\+)', 'polarity', 'center-plus', { evidence: 'dc-supply' }],
  ['(?:cent(?:re|er)|tip) ?-?(?:negative|minus)', 'polarity', 'center-minus', { evidence: 'dc-supply' }],
  ['un-?regulated', 'regulated', false, { families: SUPPLY }],
  ['regulated', 'regulated', true, { families: SUPPLY }],
  ['AC(?!/)', 'voltageKind', 'ac', { families: [...SUPPLY, 'sounder'] }],
  ['DC(?!/)', 'voltageKind', 'dc', { families: [...SUPPLY, 'sounder'] }],
  ['slow[- ]?blow|time[- ]?(?:lag|delay)|anti[- ]?surge', 'fuseSpeed', 'T', { evidence: 'fuse', certainty: 'derived' }],
  ['(?:quick|fast)[- ]?(?:blow|acting)', 'fuseSpeed', 'F', { evidence: 'fuse', certainty: 'derived' }],
  [
    'N/O/C|N\\.?O\\.?/N\\.?C\\.?|SPDT|change-?over|form C',
    'contactForm',
    'SPDT',
    { families: CONTACT, evidence: 'contact' },
  ],
  ['normally[- ]closed', 'contactForm', 'NC', open(['NC', 'NO'], CLOSED, { families: CONTACT, evidence: 'contact' })],
  ['normally[- ]open', 'contactForm', 'NO', open(['NO', 'NC'], OPEN, { families: CONTACT, evidence: 'contact' })],
  ['IP ?([0-6][0-9])', 'ipRating', '', {}],
]

/** Forms whose capitals carry the meaning. */
const CAPITALS: readonly Entry[] = [
  ['N/C|NC|N\\.C\\.', 'contactForm', 'NC', open(['NC', 'NO'], CLOSED, { families: CONTACT })],
  ['N/O|NO|N\\.O\\.', 'contactForm', 'NO', open(['NO', 'NC'], OPEN, { families: CONTACT })],
  ['FR', 'flameRetardantCase', true, { families: ['lead-acid', 'battery'] }],
  ['(\\d{1,2}P\\d{1,2}C)', 'connector', '', { evidence: 'cord' }],
  [
    'RJ-?(?:11|14)',
    'connector',
    '6P2C',
    open(['6P2C', '6P4C'], 'RJ11 names a wiring, which is 6P2C; plugs sold so are also 6P4C', { evidence: 'cord' }),
  ],
  [
    'RJ-?45',
    'connector',
    '8P8C',
    open(['8P8C'], 'RJ45 names a wiring; the plug commonly meant is 8P8C', { evidence: 'cord' }),
  ],
]
const PREFIX: Record<string, string> = { 'F([12])(?! ?(?:A|mA))': 'F', 'M([56])': 'M', 'IP ?([0-6][0-9])': 'IP' }

const KINDS: readonly (readonly [pattern: string, family: Family])[] = [
  ['battery (?:leads?|cables?|wires?)', 'battery-lead'],
  ['battery (?:box|tray|holder)', 'box'],
  ['enclosure', 'box'],
  ['transformer', 'transformer'],
  ['PSU|power supply|(?:power )?adapt[eo]r', 'supply'],
  ['resistors?|EOL', 'resistor'],
  ['sirens?|sounders?|horns?|strobes?', 'sounder'],
  ['fuses?', 'fuse'],
  ['cords?|patch (?:lead|cable)', 'cord'],
  ['cables?', 'cable'],
  ['reed(?: (?:contacts?|switch))?|door contacts?|magnetic contacts?', 'contact'],
  ['detectors?|PIR|motion sensors?', 'detector'],
  ['batter(?:y|ies)', 'battery'],
]

const END = '(?![A-Za-z0-9])'
const factRules = (entries: readonly Entry[], flags: string): PatternRule[] =>
  entries.map(([pattern, name, value, more = {}]) => {
    const form = new RegExp(`(?:${pattern})${/[)+]$/.test(pattern) && pattern.includes('\\+') ? '' : END}`, flags)
    const read: Rule = (text, at) => {
      form.lastIndex = at
      const match = form.exec(text)
      if (!match) return undefined
      const told = value === '' ? `${PREFIX[pattern] ?? ''}${match[1]}` : value
      const fact: Fact = { name, value: told, rule: `word-${name}`, certainty: 'stated', ...more }
      return { token: { kind: 'fact', fact }, end: at + match[0].length }
    }
    return { pattern: form, read }
  })

/** Words that name one attribute of a part, or the kind of part. Their meaning is common practice, no source. */
export const FACT_RULES: readonly PatternRule[] = [
  ...factRules(WORDS, 'iy'),
  ...factRules(CAPITALS, 'y'),
  ...KINDS.map(([pattern, family]): PatternRule => {
    const form = new RegExp(`(?:${pattern})${END}`, 'iy')
    const read: Rule = (text, at) => {
      form.lastIndex = at
      const match = form.exec(text)
      return match ? { token: { kind: 'kind-of-part', family }, end: at + match[0].length } : undefined
    }
    return { pattern: form, read }
  }),
]
