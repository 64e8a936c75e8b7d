import { DomainError } from '../errors.ts'
import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'

export interface SupplyInput {
  kind: 'ac' | 'dc'
  /** Nameplate, loaded. */
  ratedV: number
  ratedVA?: number
  ratedA?: number
  /** Current of everything on the board's DC side, charging included. */
  loadCurrentA?: number
  /** Readings at the secondary: wires lifted, and joined to the running system. */
  openV?: number
  loadedV?: number
  /** What the meter was set to. */
  meterRange?: 'ac' | 'dc'
  /** Auxiliary output: its rating and what hangs on it. */
  auxiliary?: { ratedA: number; loads: readonly { label?: string; quantity: number; currentA: number }[] }
}
export type SupplyVerdict = 'sound' | 'dead' | 'overloaded-or-shorted' | 'weak' | 'wrong-range' | 'cannot-tell'
export interface SupplyCheck {
  verdict: SupplyVerdict
  because: string
  /** RMS current and apparent power that the transformer gives for the load. */
  demand?: { acCurrentA: number; apparentPowerVA: number; fractionOfRating?: number }
  regulationFraction?: number
  expected: { openV: { low: number; high: number }; loadedV: { low: number; high: number } }
  auxiliary?: { loadA: number; ratedA: number; leftA: number; isOverload: boolean }
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}

/** RMS current of the secondary for each ampere behind a rectifier with a capacitor: 1.6 to 1.8, common practice. */
export const RECTIFIER_FACTOR = 1.8

/** Expected readings as shares of the nameplate: small plug-in units lose 10 to 25 % from open to loaded (common practice). */
const EXPECTED = {
  ac: { open: [1, 1.3], loaded: [0.9, 1.15] },
  dc: { open: [0.95, 1.35], loaded: [0.95, 1.05] },
} as const

/**
 * Regulation of a transformer.
 *
 * (open voltage - loaded voltage) / loaded voltage
 *
 * @source a maker-neutral note that warns that some divide by the open voltage (read)
 * @example regulationFraction(11, 10) // 0.1
 */
export const regulationFraction = (openV: number, loadedV: number): number => (openV - loadedV) / loadedV

function check(input: SupplyInput): void {
  const optional = (value: number | undefined, path: string, low: number, high: number, unit: string) => () =>
    value === undefined ? undefined : within(value, path, low, high, unit)
  refuseTogether([
    () => within(input.ratedV, '/ratedVoltage', 1, 60, 'V'),
    optional(input.ratedVA, '/ratedPower', 0.1, 1000, 'VA'),
    optional(input.ratedA, '/ratedCurrent', 0.01, 100, 'A'),
    optional(input.loadCurrentA, '/loadCurrent', 0, 100, 'A'),
    optional(input.openV, '/openVoltage', 0, 1000, 'V'),
    optional(input.loadedV, '/loadedVoltage', 0, 1000, 'V'),
    optional(input.auxiliary?.ratedA, '/auxiliary/ratedCurrent', 0.001, 100, 'A'),
    ...(input.auxiliary?.loads ?? []).map(({ currentA }, index) =>
      optional(currentA, `/auxiliary/loads/${index}/current`, 0, 100, 'A'),
    ),
    () => mainsRefused(input),
  ])
}

/** Under this a collapsed supply has no regulation worth a number. Judgement. */
const LEAST_LOADED_V = 0.1
/** A reading of mains is never asked for and never judged here. */
const MAINS_FROM_V = 90
function mainsRefused({ openV = 0, loadedV = 0 }: SupplyInput): void {
  const highest = Math.max(openV, loadedV)
  if (highest < MAINS_FROM_V) return
  throw new DomainError(
    'QUANTITY_OUT_OF_RANGE',
    `a secondary is under ${MAINS_FROM_V} V, got ${highest} V: stop, that may be mains`,
    {
      path: openV >= MAINS_FROM_V ? '/openVoltage' : '/loadedVoltage',
      limit: MAINS_FROM_V,
      value: highest,
    },
  )
}

/** A wrong range reads almost nothing, or about double. */
function isWrongRange({ kind, meterRange }: SupplyInput): boolean {
  return meterRange !== undefined && meterRange !== kind
}

const DEAD_BELOW_FRACTION = 0.1

function verdictOf(input: SupplyInput, expected: SupplyCheck['expected']): Pick<SupplyCheck, 'verdict' | 'because'> {
  const { openV, loadedV, ratedV, kind } = input
  if (isWrongRange(input))
    return {
      verdict: 'wrong-range',
      because: `The meter must be on ${kind.toUpperCase()} volts: the other range reads nonsense.`,
    }
  const isDead = openV !== undefined && openV < DEAD_BELOW_FRACTION * ratedV
  if (isDead) return { verdict: 'dead', because: 'Nothing comes out with the wires lifted: dead, or nothing goes in.' }
  if (loadedV === undefined)
    return {
      verdict: 'cannot-tell',
      because: 'An open reading alone proves little: read again joined to the running system.',
    }
  if (loadedV >= expected.loadedV.low && loadedV <= expected.loadedV.high)
    return { verdict: 'sound', because: 'It holds its nameplate voltage under the load.' }
  if (loadedV > expected.loadedV.high)
    return {
      verdict: 'cannot-tell',
      because: 'Higher than its nameplate under load: is it joined to the system, and is it the right supply?',
    }
  if (openV !== undefined && openV >= expected.openV.low && loadedV < 0.5 * ratedV)
    return {
      verdict: 'overloaded-or-shorted',
      because: 'Right when open, collapsed when joined: an overload or a short behind it, or its thermal limit.',
    }
  return {
    verdict: 'weak',
    because: 'Under its nameplate when joined: a worn supply, a low mains, a long thin wire or too much load.',
  }
}

function demandOf({ kind, loadCurrentA, ratedV, ratedVA, ratedA }: SupplyInput): SupplyCheck['demand'] {
  if (loadCurrentA === undefined) return undefined
  const acCurrentA = kind === 'ac' ? RECTIFIER_FACTOR * loadCurrentA : loadCurrentA
  const apparentPowerVA = acCurrentA * ratedV
  const rating = ratedVA ?? (ratedA === undefined ? undefined : ratedA * ratedV)
  return {
    acCurrentA,
    apparentPowerVA,
    ...(rating === undefined ? {} : { fractionOfRating: apparentPowerVA / rating }),
  }
}

function auxiliaryOf({ auxiliary }: SupplyInput): SupplyCheck['auxiliary'] {
  if (!auxiliary) return undefined
  const loadA = auxiliary.loads.reduce((sum, { quantity, currentA }) => sum + quantity * currentA, 0)
  return { loadA, ratedA: auxiliary.ratedA, leftA: auxiliary.ratedA - loadA, isOverload: loadA > auxiliary.ratedA }
}

function stepsOf(input: SupplyInput, demand: SupplyCheck['demand'], auxiliary: SupplyCheck['auxiliary']): Step[] {
  const steps: Step[] = []
  if (demand)
    steps.push({
      formula:
        input.kind === 'ac' ? 'apparent power = 1.8 x DC load x rated voltage' : 'power = load current x rated voltage',
      substituted: `${input.kind === 'ac' ? '1.8 x ' : ''}${written(input.loadCurrentA!)} A x ${written(input.ratedV)} V`,
      value: demand.apparentPowerVA,
      unit: input.kind === 'ac' ? 'V.A' : 'W',
      source:
        input.kind === 'ac' ? 'rectifier with capacitor, factor 1.6 to 1.8: common practice, no source' : "Ohm's law",
    })
  if (auxiliary)
    steps.push({
      formula: 'left on the auxiliary output = rating - sum of quantity x current',
      substituted: `${written(auxiliary.ratedA)} A - ${written(auxiliary.loadA)} A`,
      value: auxiliary.leftA,
      unit: 'A',
      source: 'sum of the currents',
    })
  return steps
}

/** A class 2 source has at most this much by its nameplate (as reported). */
const CLASS_2_VA = 100

function warningsOf(input: SupplyInput, demand: SupplyCheck['demand'], auxiliary: SupplyCheck['auxiliary']): Warning[] {
  const share = demand?.fractionOfRating ?? 0
  return warningsWhere([
    [
      share > 1,
      'SUPPLY_TOO_SMALL',
      'The load needs more than the supply is rated for, most of all while the battery recharges after an outage.',
    ],
    [
      share > 0.8 && share <= 1,
      'SUPPLY_NEARLY_FULL',
      'Over four fifths of the rating: a recharging battery can overload it.',
    ],
    [auxiliary?.isOverload === true, 'AUXILIARY_OVERLOADED', 'The auxiliary output carries more than its rating.'],
    [
      (input.ratedVA ?? 0) > CLASS_2_VA,
      'NOT_CLASS_2',
      'More than 100 VA is not a class 2 source: work on it is for a licensed person.',
    ],
    [
      input.kind === 'ac' && (input.openV ?? 0) > input.ratedV,
      'OPEN_ABOVE_NAMEPLATE',
      'An open reading above the nameplate is normal: the nameplate holds under load.',
    ],
  ])
}

/**
 * Whether a plug-in supply gives what the system needs, from nameplate, load and readings at its secondary.
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE, all mistakes together; a reading of 90 V or more is refused as possibly mains
 * @validity the low-voltage side only; averaging meters are some per cent off on non-sine
 * @source regulation as read; ranges and rectifier factor are common practice
 */
export function checkSupply(input: SupplyInput): SupplyCheck {
  check(input)
  const shares = EXPECTED[input.kind]
  const range = ([low, high]: readonly [number, number]) => ({ low: low * input.ratedV, high: high * input.ratedV })
  const expected = { openV: range(shares.open), loadedV: range(shares.loaded) }
  const demand = demandOf(input)
  const auxiliary = auxiliaryOf(input)
  const { openV, loadedV } = input
  return {
    ...verdictOf(input, expected),
    ...(demand && { demand }),
    ...(openV !== undefined && loadedV !== undefined && loadedV >= LEAST_LOADED_V
      ? { regulationFraction: regulationFraction(openV, loadedV) }
      : {}),
    expected,
    ...(auxiliary && { auxiliary }),
    steps: stepsOf(input, demand, auxiliary),
    warnings: warningsOf(input, demand, auxiliary),
    validity: 'The low-voltage side of a plug-in supply only. Never open or measure the mains side on the phone.',
    hazards: ['hazard/mains-voltage', 'hazard/hot-or-burning-supply'],
  }
}
