import { wireAreaMm2 } from '../../circuits/wire.ts'
import { ambiguous, type Context, type Draft, measured, missing, NOTHING, type Quantity, type Said } from './draft.ts'
import type { Family } from './types.ts'
import type { Dimension } from './unit-forms.ts'

const MAINS_V = 90
const VOLTAGE_NAME: Partial<Record<Family, string>> = {
  'lead-acid': 'nominalVoltageV',
  cell: 'nominalVoltageV',
  battery: 'nominalVoltageV',
  transformer: 'outputVoltageV',
  'dc-supply': 'outputVoltageV',
  sounder: 'supplyVoltageV',
  detector: 'supplyVoltageV',
  radio: 'supplyVoltageV',
  fuse: 'voltageV',
}
const kindOf = ({ current }: Quantity): Draft[] =>
  current === undefined ? [] : [{ name: 'voltageKind', value: current, rule: 'voltage-kind', certainty: 'stated' }]
const isSupply = (family: Family) => family === 'transformer' || family === 'dc-supply'
const isMains = ({ form, numbers }: Quantity) =>
  form === 'list' ? numbers.every(({ value }) => value >= MAINS_V) : numbers.some(({ value }) => value >= MAINS_V)

/** 230V/16V on a supply: mains in, low voltage out. */
function inAndOut(quantity: Quantity): Said | undefined {
  const [first, second, ...more] = quantity.numbers
  if (quantity.form !== 'list' || !first || !second || more.length > 0) return undefined
  if (first.value < MAINS_V || second.value >= MAINS_V) return undefined
  const one = (number: typeof first) => ({ ...quantity, form: 'one' as const, numbers: [number] })
  return {
    attributes: [
      measured('inputVoltageV', one(first), 'V'),
      measured('outputVoltageV', one(second), 'V'),
      ...kindOf(quantity),
    ],
  }
}

function isInput(quantity: Quantity, { tokens }: Context): boolean {
  if (quantity.role) return quantity.role === 'input'
  if (!isMains(quantity)) return false
  return tokens.some(
    ({ token }) => token !== quantity && token.kind === 'quantity' && token.dimension === 'voltage' && !isMains(token),
  )
}

const sayVoltage = (quantity: Quantity, context: Context): Said => {
  const { family } = context
  if (isSupply(family)) {
    const both = inAndOut(quantity)
    if (both) return both
    if (isInput(quantity, context) || (isMains(quantity) && quantity.form !== 'one'))
      return { attributes: [measured('inputVoltageV', quantity, 'V')] }
  }
  const name = VOLTAGE_NAME[family]
  const isSaidOfKind = isSupply(family) || family === 'sounder'
  if (name) return { attributes: [measured(name, quantity, 'V'), ...(isSaidOfKind ? kindOf(quantity) : [])] }
  if (family !== 'unknown') return NOTHING
  const read = { ...measured('nominalVoltageV', quantity, 'V'), certainty: 'ambiguous' as const }
  return {
    attributes: [read, ...kindOf(quantity)],
    questions: [
      ambiguous('nominalVoltageV', 'the text does not say whether it is a battery, a supply or what it runs on'),
    ],
  }
}

const LENGTH: Partial<Record<Family, readonly [name: string, unit: string]>> = {
  fuse: ['lengthMm', 'mm'],
  cable: ['lengthM', 'm'],
  cord: ['lengthM', 'm'],
  'battery-lead': ['lengthMm', 'mm'],
  'dc-supply': ['barrelInnerMm', 'mm'],
}

function sayLength(quantity: Quantity, { family }: Context): Said {
  if (quantity.role === 'gap') return { attributes: [measured('gapMm', quantity, 'mm')] }
  const [name, unit] = LENGTH[family] ?? []
  if (name === undefined || unit === undefined) return NOTHING
  if (name !== 'barrelInnerMm') return { attributes: [measured(name, quantity, unit)] }
  const reason = 'one figure names only the pin; a sleeve of 5.5 mm is common but not stated'
  return { attributes: [measured(name, quantity, unit)], questions: [missing('barrelOuterMm', reason)] }
}

function sayCharge(quantity: Quantity): Said {
  const rate: Draft[] =
    quantity.hours === undefined
      ? []
      : [{ name: 'dischargeHours', value: quantity.hours, rule: 'hour-rate', certainty: 'stated' }]
  return { attributes: [measured('capacityAh', quantity, 'Ah'), ...rate] }
}

function saySound(quantity: Quantity): Said {
  const level = measured('soundPressureDb', quantity, 'dB')
  if (quantity.distanceM === undefined)
    return {
      attributes: [level],
      questions: [missing('soundDistanceM', 'a sound level without a distance says little')],
    }
  const distance = {
    name: 'soundDistanceM',
    value: quantity.distanceM,
    rule: 'sound-distance',
    certainty: 'stated',
  } as const
  return { attributes: [level, distance] }
}

function sayPower(quantity: Quantity, { family }: Context): Said {
  const power = measured('powerW', quantity, 'W')
  if (family !== 'transformer') return { attributes: [power] }
  return { attributes: [power], questions: [missing('apparentPowerVA', 'W on a transformer is not VA')] }
}

function sayFrequency(quantity: Quantity): Said {
  if (quantity.unit === 'Hz') return { attributes: [measured('frequencyHz', quantity, 'Hz')] }
  const band = measured('bandMHz', quantity, 'MHz')
  return {
    attributes: [band],
    questions: [missing('familyKey', 'the band alone never decides whether radio parts fit')],
  }
}

/** Gauge with the area that the law of the gauge gives (ASTM B258, from memory). */
export function gaugeSaid(gauge: number): Draft[] {
  const area = { name: 'areaMm2', rule: 'area-of-gauge', certainty: 'derived' } as const
  return [
    { name: 'gaugeAwg', value: gauge, rule: 'gauge', certainty: 'stated' },
    ...(gauge <= 40 ? [{ ...area, value: Number(wireAreaMm2(gauge).toPrecision(4)) }] : []),
  ]
}

const RESISTIVE: readonly Family[] = ['resistor', 'unknown']
const SAY: Record<Dimension, (quantity: Quantity, context: Context) => Said> = {
  voltage: sayVoltage,
  current: (quantity, { family }) => ({
    attributes: [
      measured(family === 'fuse' || family === 'battery-lead' ? 'ratedCurrentA' : 'currentA', quantity, 'A'),
    ],
  }),
  charge: sayCharge,
  resistance: (quantity, { family }) =>
    RESISTIVE.includes(family) ? { attributes: [measured('resistanceOhm', quantity, 'Ohm')] } : NOTHING,
  power: sayPower,
  'apparent-power': (quantity) => ({ attributes: [measured('apparentPowerVA', quantity, 'VA')] }),
  frequency: sayFrequency,
  sound: saySound,
  length: sayLength,
  area: (quantity) => ({ attributes: [measured('areaMm2', quantity, 'mm2')] }),
  percent: (quantity, { family }) =>
    RESISTIVE.includes(family) ? { attributes: [measured('toleranceFraction', quantity, '1')] } : NOTHING,
  gauge: (quantity) => (quantity.form === 'one' ? { attributes: gaugeSaid(quantity.numbers[0]!.value) } : NOTHING),
}

/** What an amount says of a part: its unit and the kind of part decide the attribute. */
export const sayQuantity = (quantity: Quantity, context: Context): Said => SAY[quantity.dimension](quantity, context)
