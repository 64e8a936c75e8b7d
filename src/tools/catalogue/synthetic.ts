import type { Constraint, Item, Requirement } from '../../domain/parts/types.ts'

/** Catalogues that look like a shop's, the same in every run. */
const CLASSES: [string, number][] = [
  ['part-class/vrla-battery-12v', 0.2],
  ['part-class/end-of-line-resistor', 0.1],
  ['part-class/plug-in-supply-ac', 0.08],
  ['part-class/plug-in-supply-dc', 0.08],
  ['part-class/sounder', 0.08],
  ['part-class/lithium-coin-cell', 0.06],
  ['part-class/fuse-cartridge', 0.06],
  ['part-class/radio-contact', 0.06],
  ['part-class/security-cable', 0.06],
  ['part-class/motion-detector-wired', 0.05],
  ['part-class/reed-contact', 0.05],
  ['part-class/keypad-wired', 0.04],
  ['part-class/phone-cord', 0.04],
  ['part-class/battery-lead', 0.04],
]
/** About one attribute in ten is missing, as it is in a shop's file. */
const MISSING = 0.1
type Draw = () => number
type Choices = Record<string, readonly (number | string)[]>

const CHOICES: Record<string, Choices> = {
  'part-class/vrla-battery-12v': {
    nominalVoltageV: [12],
    capacityAh: [1.2, 2.1, 3.2, 4.5, 5, 7, 7.2, 9, 12, 17, 24],
    lengthMm: [90, 97, 134, 151, 178, 181],
    widthMm: [34, 43, 65, 67, 70, 77, 98],
    heightMm: [58, 66, 94, 100, 101, 107, 167],
    terminal: ['F1', 'F2', 'M5'],
    chemistry: ['agm', 'gel'],
  },
  'part-class/end-of-line-resistor': {
    resistanceOhm: [1000, 2200, 3300, 4700, 5600, 6800, 10_000],
    powerW: [0.125, 0.25, 0.5],
    toleranceFraction: [0.01, 0.05],
  },
  'part-class/plug-in-supply-ac': {
    voltageKind: ['ac'],
    inputVoltageV: [120, 230],
    outputVoltageV: [9, 12, 16.5, 18, 24],
    apparentPowerVA: [10, 20, 25, 40, 50],
  },
  'part-class/plug-in-supply-dc': {
    voltageKind: ['dc'],
    inputVoltageV: [120, 230],
    outputVoltageV: [5, 9, 12, 24],
    currentA: [0.5, 1, 2, 3],
  },
  'part-class/fuse-cartridge': {
    sizeName: ['5x20', '6.3x32'],
    ratedCurrentA: [0.5, 1, 2, 3.15, 5],
    fuseSpeed: ['F', 'T'],
  },
  'part-class/lithium-coin-cell': { sizeName: ['CR2032', 'CR2025', 'CR2450'], nominalVoltageV: [3] },
  'part-class/radio-contact': { bandMHz: [433.92, 868.3, 915] },
}
const WORDS = ['Standby', 'Sealed', 'Durable', 'Compact', 'Spare', 'Service', 'Heavy', 'Slim', 'Quiet', 'Outdoor']
const COLOURS = ['black', 'white', 'grey', 'ivory', 'green']

/** Repeatable draws from 0 to 1 (a linear congruential generator; its constants are those of Numerical Recipes, from memory). */
export function drawsFrom(seed: number): Draw {
  let state = seed >>> 0
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0
    return state / 2 ** 32
  }
}

const pick = <T>(draw: Draw, list: readonly T[]): T => list[Math.floor(draw() * list.length)]!

function classOf(draw: Draw): string {
  let rest = draw()
  for (const [partClass, share] of CLASSES) {
    rest -= share
    if (rest < 0) return partClass
  }
  return CLASSES[0]![0]
}

/** One item of a synthetic catalogue. */
export function syntheticItem(draw: Draw, index: number): Item {
  const partClass = classOf(draw)
  const attributes: Record<string, number | string> = {}
  for (const [name, values] of Object.entries(CHOICES[partClass] ?? {}))
    if (draw() > MISSING) attributes[name] = pick(draw, values)
  const kind = partClass.slice(partClass.indexOf('/') + 1).replaceAll('-', ' ')
  return {
    sku: `S-${String(index).padStart(6, '0')}`,
    partClass,
    title: `${pick(draw, WORDS)} ${kind} ${pick(draw, COLOURS)} model ${index % 977}`,
    attributes,
    stock: Math.floor(draw() * 20),
    packQuantity: 1,
    priceMinor: 100 + Math.floor(draw() * 5000),
    currency: 'EUR',
  }
}

const hard = (attribute: string, op: Constraint['op'], value: Constraint['value'], to?: number): Constraint => ({
  attribute,
  op,
  value,
  ...(to === undefined ? {} : { to }),
  kind: 'hard',
  isSafety: /Voltage/.test(attribute),
  origin: 'bench',
})
const requirement = (partClass: string, ...constraints: Constraint[]): Requirement => ({
  partClass,
  constraints,
  quantity: 1,
  adaptersAllowed: false,
})

/** What callers ask for, drawn anew each time. */
export function syntheticRequirement(draw: Draw): Requirement {
  const kind = draw()
  const of = (partClass: string, name: string) => pick(draw, CHOICES[partClass]![name]!)
  const battery = 'part-class/vrla-battery-12v'
  const capacity = Number(of(battery, 'capacityAh'))
  if (kind < 0.5)
    return requirement(
      battery,
      hard('nominalVoltageV', 'eq', 12),
      hard('capacityAh', 'range', capacity, capacity * 1.3),
      hard('lengthMm', 'max', Number(of(battery, 'lengthMm'))),
      hard('widthMm', 'max', Number(of(battery, 'widthMm'))),
      hard('heightMm', 'max', Number(of(battery, 'heightMm'))),
      hard('terminal', 'in', [of(battery, 'terminal')]),
    )
  if (kind < 0.75)
    return requirement(
      'part-class/plug-in-supply-ac',
      hard('inputVoltageV', 'eq', 230),
      hard('outputVoltageV', 'eq', of('part-class/plug-in-supply-ac', 'outputVoltageV')),
      hard('apparentPowerVA', 'min', of('part-class/plug-in-supply-ac', 'apparentPowerVA')),
    )
  return requirement(
    'part-class/end-of-line-resistor',
    hard('resistanceOhm', 'eq', of('part-class/end-of-line-resistor', 'resistanceOhm')),
    hard('powerW', 'min', 0.25),
    hard('toleranceFraction', 'max', 0.05),
  )
}
