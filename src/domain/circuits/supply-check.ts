import { DomainError } from '../errors.ts'
import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { rawDcV, rippleV, rmsFactor, secondaryNeeded } from './rectifier.ts'
import type { SupplyCheck, SupplyInput } from './supply-types.ts'
import { expectedOf, verdictOf } from './supply-verdict.ts'

export type * from './supply-types.ts'

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
    optional(input.outputV, '/outputVoltage', 0.1, 100, 'V'),
    optional(input.capacitanceUF, '/capacitanceMicrofarad', 1, 1e6, 'uF'),
    optional(input.mainsHz, '/mainsFrequency', 40, 70, 'Hz'),
    ...(input.auxiliary?.loads ?? []).flatMap(({ currentA, alarmCurrentA }, index) => [
      optional(currentA, `/auxiliary/loads/${index}/current`, 0, 100, 'A'),
      optional(alarmCurrentA, `/auxiliary/loads/${index}/alarmCurrent`, 0, 100, 'A'),
    ]),
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

/** RMS amperes of the supply for each ampere of DC. */
const factorOf = ({ kind, rectifier = 'bridge', hasCapacitor = true }: SupplyInput) =>
  kind === 'ac' ? rmsFactor(rectifier, hasCapacitor) : 1

const ratingOf = ({ ratedV, ratedVA, ratedA }: SupplyInput) =>
  ratedVA ?? (ratedA === undefined ? undefined : ratedA * ratedV)

function demandOf(input: SupplyInput): SupplyCheck['demand'] {
  const { loadCurrentA, ratedV } = input
  if (loadCurrentA === undefined) return undefined
  const acCurrentA = factorOf(input) * loadCurrentA
  const apparentPowerVA = acCurrentA * ratedV
  const rating = ratingOf(input)
  return {
    acCurrentA,
    apparentPowerVA,
    ...(rating === undefined ? {} : { fractionOfRating: apparentPowerVA / rating }),
  }
}

/** What an AC supply gives behind its rectifier, as far as it is known. */
function behindRectifier(input: SupplyInput): Pick<SupplyCheck, 'dcAvailableA' | 'rawDcV' | 'needed' | 'rippleV'> {
  const { kind, ratedV, loadCurrentA, outputV, capacitanceUF, mainsHz } = input
  const { rectifier = 'bridge', hasCapacitor = true } = input
  if (kind === 'dc') return {}
  const rating = ratingOf(input)
  const fullAtA = fullAt(input)
  const needed =
    outputV === undefined ? undefined : secondaryNeeded(rectifier, hasCapacitor, outputV, loadCurrentA ?? 0)
  const isEnough = needed && needed.voltageV <= ratedV && needed.apparentPowerVA <= (rating ?? Number.POSITIVE_INFINITY)
  return {
    ...(fullAtA === undefined ? {} : { dcAvailableA: fullAtA }),
    ...(hasCapacitor ? { rawDcV: rawDcV(rectifier, ratedV) } : {}),
    ...(needed && { needed: { ...needed, isEnough: isEnough === true } }),
    ...(capacitanceUF === undefined || mainsHz === undefined || loadCurrentA === undefined
      ? {}
      : { rippleV: rippleV(rectifier, loadCurrentA, mainsHz, capacitanceUF) }),
  }
}

function auxiliaryOf({ auxiliary }: SupplyInput): SupplyCheck['auxiliary'] {
  if (!auxiliary) return undefined
  const { loads, ratedA } = auxiliary
  const loadA = loads.reduce((sum, { quantity, currentA }) => sum + quantity * currentA, 0)
  const alarmA = loads.reduce(
    (sum, { quantity, currentA, alarmCurrentA = currentA }) => sum + quantity * alarmCurrentA,
    0,
  )
  const worstA = Math.max(loadA, alarmA)
  return { loadA, alarmA, ratedA, leftA: ratedA - worstA, isOverload: worstA > ratedA }
}

function stepsOf(input: SupplyInput, demand: SupplyCheck['demand'], auxiliary: SupplyCheck['auxiliary']): Step[] {
  const steps: Step[] = []
  if (demand)
    steps.push({
      formula:
        input.kind === 'ac'
          ? 'apparent power = factor of the rectifier x DC load x rated voltage'
          : 'power = load current x rated voltage',
      substituted: `${input.kind === 'ac' ? `${factorOf(input)} x ` : ''}${written(input.loadCurrentA!)} A x ${written(input.ratedV)} V`,
      value: demand.apparentPowerVA,
      unit: input.kind === 'ac' ? 'V.A' : 'W',
      source:
        input.kind === 'ac'
          ? 'design notes of two transformer makers (read): 1.8 for a bridge with a capacitor'
          : 'power of a direct current',
    })
  if (auxiliary)
    steps.push({
      formula: 'left on the auxiliary output = rating - larger sum of quantity x current, in standby or in alarm',
      substituted: `${written(auxiliary.ratedA)} A - max(${written(auxiliary.loadA)} A, ${written(auxiliary.alarmA)} A)`,
      value: auxiliary.leftA,
      unit: 'A',
      source: 'sum of the currents',
    })
  return steps
}

/**
 * Most that the nameplate of a class 2 source may state, in VA; undefined where no class 2 source has this voltage.
 *
 * up to 20 V: 5 A x V; up to 30 V: 100 VA
 *
 * @source NEC chapter 9 table 11(A): 100 VA and 30 V as reported, 5 A x V from memory
 * @example class2LimitVA(16.5) // 82.5
 */
export function class2LimitVA(ratedV: number): number | undefined {
  if (ratedV > 30) return undefined
  return ratedV <= 20 ? 5 * ratedV : 100
}

function warningsOf(input: SupplyInput, demand: SupplyCheck['demand'], auxiliary: SupplyCheck['auxiliary']): Warning[] {
  const share = demand?.fractionOfRating ?? 0
  const { needed } = behindRectifier(input)
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
    [
      needed?.isEnough === false,
      'SECONDARY_TOO_LOW',
      'Its voltage or power does not do for the DC voltage wanted behind this rectifier.',
    ],
    [auxiliary?.isOverload === true, 'AUXILIARY_OVERLOADED', 'The auxiliary output carries more than its rating.'],
    [
      (ratingOf(input) ?? 0) > (class2LimitVA(input.ratedV) ?? 0),
      'NOT_CLASS_2',
      'By its nameplate this is more than a class 2 source may be: work on it is for a licensed person.',
    ],
    [
      input.kind === 'ac' && (input.openV ?? 0) > input.ratedV,
      'OPEN_ABOVE_NAMEPLATE',
      'An open reading above the nameplate is normal: the nameplate holds under load.',
    ],
  ])
}

function wouldChange(
  { openV, loadedV, kind }: SupplyInput,
  expected: SupplyCheck['expected'],
  auxiliary: SupplyCheck['auxiliary'],
  fullAtA: number | undefined,
): string[] {
  const between = ({ low, high }: { low: number; high: number }) => `${written(low)} to ${written(high)} V`
  const said = [
    loadedV === undefined
      ? `A reading joined to the running system: ${between(expected.loadedV)} ${kind.toUpperCase()} is sound.`
      : `Joined to the running system ${between(expected.loadedV)} counts as sound; it reads ${written(loadedV)} V.`,
    openV === undefined && `A reading with the wires lifted: ${between(expected.openV)} is usual.`,
    fullAtA !== undefined && `Its rating is used up at ${written(fullAtA)} A of load on the board.`,
    auxiliary !== undefined && `The auxiliary output is full at ${written(auxiliary.ratedA)} A.`,
  ]
  return said.filter((line) => typeof line === 'string')
}

/** Load on the DC side at which the rating is used up. */
function fullAt(input: SupplyInput): number | undefined {
  const rating = ratingOf(input)
  return rating === undefined ? undefined : rating / input.ratedV / factorOf(input)
}

/**
 * Whether a plug-in supply gives what the system needs, from nameplate, load and readings at its secondary.
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE, all mistakes together; a reading of 90 V or more is refused as possibly mains
 * @validity the low-voltage side only; averaging meters are some per cent off on non-sine
 * @source regulation and rectifier factors as read; ranges are common practice
 */
export function checkSupply(input: SupplyInput): SupplyCheck {
  check(input)
  const expected = expectedOf(input)
  const demand = demandOf(input)
  const auxiliary = auxiliaryOf(input)
  const { openV, loadedV } = input
  return {
    ...verdictOf(input, expected),
    ...(demand && { demand }),
    ...behindRectifier(input),
    ...(openV !== undefined && loadedV !== undefined && loadedV >= LEAST_LOADED_V
      ? { regulationFraction: regulationFraction(openV, loadedV) }
      : {}),
    expected,
    ...(auxiliary && { auxiliary }),
    wouldChange: wouldChange(input, expected, auxiliary, fullAt(input)),
    steps: stepsOf(input, demand, auxiliary),
    warnings: warningsOf(input, demand, auxiliary),
    validity: 'The low-voltage side of a plug-in supply only. Never open or measure the mains side on the phone.',
    hazards: ['hazard/mains-voltage', 'hazard/hot-or-burning-supply'],
  }
}
