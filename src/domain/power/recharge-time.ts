import { DomainError } from '../errors.ts'
import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { CHARGE_EFFICIENCY_FRACTION, netChargeCurrentA } from './recharge.ts'
import { checkAlike, checkChemistry, type Suitability } from './suitable.ts'

export interface RechargeInput extends Suitability {
  capacityAh: number
  supplyCurrentA: number
  /** Largest current that the charger gives the battery. */
  chargeLimitA: number
  loadCurrentA: number
  /** State of charge at the start and at the knee, where the current begins to taper. */
  startFraction?: number
  kneeFraction?: number
  efficiencyFraction?: number
}
export interface Deadline {
  standard: string
  targetFraction: number
  limitHours: number
  source: string
  /** Net charging current that meets the limit from empty, taper included. */
  requiredCurrentA: number
  isMet: boolean
}
export interface Recharge {
  netCurrentA: number
  /** Share of the supply's current that the load takes. */
  loadShareFraction: number
  canRecharge: boolean
  /** Absent when the battery is never recharged. */
  hoursTo80Percent?: number
  hoursToFull?: number
  deadlines: Deadline[]
  wouldChange: string[]
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}

/** The limits are for a battery discharged to its end voltage (from memory), whatever state the caller starts from. */
const DEADLINE_START_FRACTION = 0

/** State of charge at which a constant-voltage charger begins to taper (as reported). */
const KNEE_FRACTION = 0.8
/** The taper never ends: this counts as full. */
export const FULL_FRACTION = 0.98
/** Largest starting current of a valve-regulated battery, as a share of its capacity (from memory; a sheet allows 0.4). */
const START_CURRENT_PER_AH = 0.3

const DEADLINES: readonly Omit<Deadline, 'requiredCurrentA' | 'isMet'>[] = [
  {
    standard: 'EN 50131-6 type A, grades 1 and 2',
    targetFraction: 0.8,
    limitHours: 72,
    source: 'en-50131-6 4.5 (from memory)',
  },
  {
    standard: 'EN 50131-6 type A, grades 3 and 4',
    targetFraction: 0.8,
    limitHours: 24,
    source: 'en-50131-6 4.5 (from memory)',
  },
  { standard: 'EN 54-4', targetFraction: 0.8, limitHours: 24, source: 'en-54-4 5.3.1 (as reported)' },
  {
    standard: 'EN 54-4, to its rated capacity',
    targetFraction: FULL_FRACTION,
    limitHours: 72,
    source: 'en-54-4 5.3.1, another 48 h after the first 24 (as reported); 98 % counts as full',
  },
  { standard: 'DIN VDE 0833', targetFraction: 0.8, limitHours: 24, source: 'a building glossary (as reported)' },
  {
    standard: 'NFPA 72 household',
    targetFraction: FULL_FRACTION,
    limitHours: 48,
    source: 'nfpa-72 (from memory, weak)',
  },
]

export interface ChargeState {
  startFraction: number
  kneeFraction: number
  targetFraction: number
  efficiencyFraction: number
}

/**
 * Time from one state of charge to another, in h: constant current up to the knee, then a taper.
 *
 * t1 = (knee - start) C / (eta I);  tau = (1 - knee) C / (eta I);  t2 = tau ln((1 - knee) / (1 - target))
 *
 * @param capacityAh - rated capacity [Ah]
 * @param currentA - net charging current [A], > 0
 * @throws DomainError QUANTITY_OUT_OF_RANGE for a target above 0.98, which a taper hardly reaches
 * @validity tau follows from the continuity of the current at the knee; a real charger tapers slower
 * @source own-derivation; knee as reported, efficiency common practice
 * @example chargeHours(7, 0.5, { startFraction: 0, kneeFraction: 0.8, targetFraction: 0.95, efficiencyFraction: 0.9 }) // 16.7574
 */
export function chargeHours(capacityAh: number, currentA: number, state: ChargeState): number {
  const { startFraction: start, kneeFraction: knee, targetFraction: target, efficiencyFraction: eta } = state
  within(target, '/targetFraction', 0, FULL_FRACTION, '1')
  if (target <= start) return 0
  const whole = capacityAh / (eta * currentA)
  const constant = Math.max(0, Math.min(target, knee) - start) * whole
  const from = Math.max(start, knee)
  if (target <= from) return constant
  return constant + (1 - knee) * whole * Math.log((1 - from) / (1 - target))
}

function check(input: RechargeInput): void {
  refuseTogether([
    () => within(input.capacityAh, '/capacity', 0.01, 10_000, 'Ah'),
    () => within(input.supplyCurrentA, '/supplyCurrent', 0, 1000, 'A'),
    () => within(input.chargeLimitA, '/chargeLimit', 1e-6, 1000, 'A'),
    () => within(input.loadCurrentA, '/loadCurrent', 0, 1000, 'A'),
    () => within(input.startFraction ?? 0, '/startFraction', 0, 1, '1'),
    () => within(input.kneeFraction ?? KNEE_FRACTION, '/kneeFraction', 0.1, 0.99, '1'),
    () => within(input.efficiencyFraction ?? CHARGE_EFFICIENCY_FRACTION, '/efficiencyFraction', 0.1, 1, '1'),
    () => checkChemistry(input),
    () => checkAlike(input),
  ])
}

function warningsOf(input: RechargeInput, netCurrentA: number): Warning[] {
  const { capacityAh, chargeLimitA, supplyCurrentA, loadCurrentA } = input
  return warningsWhere([
    [
      netCurrentA <= 0,
      'LOAD_TAKES_ALL',
      'The load takes the whole supply: the battery is never recharged and drains although the mains is present. A new battery will not cure this.',
    ],
    [
      netCurrentA > 0 && netCurrentA < chargeLimitA,
      'LOAD_TAKES_SHARE',
      `The load leaves ${written(supplyCurrentA - loadCurrentA)} A of the supply for the battery, less than the charger could give.`,
    ],
    [
      chargeLimitA > START_CURRENT_PER_AH * capacityAh,
      'CHARGE_CURRENT_HIGH',
      'The charger can give more than 0.3 times the capacity, which is much for a valve-regulated battery: see its label.',
    ],
  ])
}

/** The time falls as 1 / current, so the time at 1 A over the limit is the current that the limit asks for. */
function deadlinesFor(capacityAh: number, netCurrentA: number, state: Omit<ChargeState, 'targetFraction'>): Deadline[] {
  return DEADLINES.map((deadline) => {
    const { targetFraction, limitHours } = deadline
    const atOneAmpereHours = chargeHours(capacityAh, 1, {
      ...state,
      targetFraction,
      startFraction: DEADLINE_START_FRACTION,
    })
    const requiredCurrentA = atOneAmpereHours / limitHours
    return { ...deadline, requiredCurrentA, isMet: netCurrentA >= requiredCurrentA }
  })
}

/** One target with its two phases; a phase that the start has already passed is left out. */
function chargeStep(capacityAh: number, currentA: number, state: ChargeState, hours: number): Step {
  const { startFraction: start, kneeFraction: knee, targetFraction: target, efficiencyFraction: eta } = state
  const from = Math.max(start, knee)
  const constant = start < Math.min(knee, target) ? `${written(Math.min(knee, target))} - ${written(start)}` : '0'
  const taper = target > from ? ` + ${written(1 - knee)} x ln(${written(1 - from)} / ${written(1 - target)})` : ''
  return {
    formula: `time to ${Math.round(100 * target)} % = capacity / (efficiency x current) x (share at constant current + (1 - knee) x ln((1 - knee) / (1 - target)))`,
    substituted: `${written(capacityAh)} Ah / (${written(eta)} x ${written(currentA)} A) x (${constant}${taper})`,
    value: hours,
    unit: 'h',
    source: 'charge balance; knee as reported; efficiency 0.85 to 0.95 is common practice, no source',
  }
}

/** The limit that fails at the smallest current, or the current down to which all hold. */
function wouldChange({ supplyCurrentA }: RechargeInput, netCurrentA: number, deadlines: readonly Deadline[]): string[] {
  if (netCurrentA <= 0) return [`Only a load below ${written(supplyCurrentA)} A leaves anything for the battery.`]
  const byNeed = [...deadlines].sort((a, b) => a.requiredCurrentA - b.requiredCurrentA)
  const missed = byNeed.find(({ isMet }) => !isMet)
  if (!missed)
    return [`Every limit here is met down to ${written(byNeed.at(-1)!.requiredCurrentA)} A of net charging current.`]
  const { standard, requiredCurrentA } = missed
  return [`From ${written(requiredCurrentA)} A of net charging current on, ${standard} is met too.`]
}

const netStep = ({ supplyCurrentA, chargeLimitA, loadCurrentA }: RechargeInput, netCurrentA: number): Step => ({
  formula: 'net charging current = the smaller of charge limit and supply current - load current, at least 0',
  substituted: `min(${written(chargeLimitA)} A, ${written(supplyCurrentA)} A - ${written(loadCurrentA)} A)`,
  value: netCurrentA,
  unit: 'A',
  source: 'sum of the currents at the supply',
})

/**
 * How long a flat battery takes to recharge while the supply also carries the load.
 *
 * net = min(charge limit, supply - load); then chargeHours
 *
 * @returns hours to 80 % and to full (98 %), absent when the load leaves nothing; standards' limits with the current each needs
 * @throws DomainError QUANTITY_OUT_OF_RANGE, all mistakes together
 * @source own-derivation; limits as each deadline names them
 * @example rechargeTime({ capacityAh: 7, supplyCurrentA: 1, chargeLimitA: 0.7, loadCurrentA: 1.1 }).canRecharge // false
 */
export function rechargeTime(input: RechargeInput): Recharge {
  check(input)
  const { capacityAh, supplyCurrentA, chargeLimitA, loadCurrentA } = input
  if (supplyCurrentA === 0 && loadCurrentA === 0)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'supplyCurrent must be above 0 A', {
      path: '/supplyCurrent',
      limit: 'above 0 A',
      value: 0,
    })
  const netCurrentA = netChargeCurrentA(supplyCurrentA, chargeLimitA, loadCurrentA)
  const state = {
    startFraction: input.startFraction ?? 0,
    kneeFraction: input.kneeFraction ?? KNEE_FRACTION,
    efficiencyFraction: input.efficiencyFraction ?? CHARGE_EFFICIENCY_FRACTION,
  }
  const canRecharge = netCurrentA > 0
  const reached = (canRecharge ? [0.8, FULL_FRACTION] : []).map((targetFraction) => {
    const hours = chargeHours(capacityAh, netCurrentA, { ...state, targetFraction })
    return { hours, step: chargeStep(capacityAh, netCurrentA, { ...state, targetFraction }, hours) }
  })
  const [to80, toFull] = reached
  const deadlines = deadlinesFor(capacityAh, netCurrentA, state)
  return {
    netCurrentA,
    loadShareFraction: supplyCurrentA === 0 ? 1 : Math.min(1, loadCurrentA / supplyCurrentA),
    canRecharge,
    ...(to80 && toFull && { hoursTo80Percent: to80.hours, hoursToFull: toFull.hours }),
    deadlines,
    wouldChange: wouldChange(input, netCurrentA, deadlines),
    steps: [netStep(input, netCurrentA), ...reached.map(({ step }) => step)],
    warnings: warningsOf(input, netCurrentA),
    validity:
      'Lead-acid on a constant-voltage charger; full counts as 98 %, and a real charger tapers slower than this.',
    hazards: ['hazard/vrla-acid-and-gas'],
  }
}
