/** What an alarm system does for its owner, gravest loss first. */
export const PROTECTIONS = ['life-safety', 'detection', 'sounding', 'reporting', 'control', 'power-reserve'] as const
export type ProtectionFunction = (typeof PROTECTIONS)[number]

/** How far a function is taken away, in ascending order; "unknown" may be anything, and stands below what is known. */
export const LOSSES = ['works', 'until-battery-ends', 'unknown', 'in-part', 'doubtful', 'lost'] as const
export type Loss = (typeof LOSSES)[number]

/** Answers to "am I protected now?", best first. That everything works is never among them. */
export const PROTECTION_STATES = [
  'no-loss-reported',
  'works-for-now',
  'unknown',
  'partly',
  'do-not-rely',
  'not-protected',
] as const
export type ProtectionState = (typeof PROTECTION_STATES)[number]

export type Battery = 'main' | 'module' | 'own'
/** What one standing condition takes away. */
export interface Affects {
  losses: Partial<Record<ProtectionFunction, Loss>>
  /** Battery it is about, and how long that lasts once nothing else feeds [h]. */
  lasts?: { battery: Battery; lowHours?: number; highHours?: number }
}
/** How long a battery that is in use now goes on. */
export interface Reserve {
  battery: Battery
  lowHours?: number
  highHours?: number
}
export interface ProtectionFacts {
  /** Everything the display holds has been read, and nothing else speaks of trouble. */
  isAllKnown: boolean
  /** The battery is known to be old, or the power has been off for hours: the low end of a range no longer holds. */
  isReserveSpent?: boolean
  /** The display has been read whole just now: something still feeds the system, whatever is said of its battery. */
  isAlive?: boolean
  /** How long the main battery carries the system as computed [h]: stands in for what is usual. */
  mainHours?: { lowHours: number; highHours: number }
}
export interface CombinedProtection {
  state: ProtectionState
  losses: Record<ProtectionFunction, Loss>
  /** Batteries in use now, soonest end first. */
  until: Reserve[]
  /** That the next power cut ends protection early. */
  endsWithMains: boolean
  /** It still runs, on a battery of which nothing may be left. */
  mayStopAnyMoment: boolean
  /** Something is not known, so that it may be worse than said. */
  mayBeWorse: boolean
}

const rank = (loss: Loss) => LOSSES.indexOf(loss)
const atLeast = (loss: Loss, other: Loss) => rank(loss) >= rank(other)
const worse = (a: Loss, b: Loss): Loss => (atLeast(a, b) ? a : b)

/** Whether what a condition is about runs on a battery now. */
const isDraining = ({ losses }: Affects) => Object.values(losses).includes('until-battery-ends')

/** A function that runs on a battery is no surer than that battery; one that runs before everybody's eyes is not lost yet. */
function onBattery(loss: Loss, battery: Battery | undefined, reserve: Loss, isAlive: boolean): Loss {
  if (loss !== 'until-battery-ends') return loss
  if (battery === 'main') return worse(loss, isAlive && reserve === 'lost' ? 'doubtful' : reserve)
  return battery === 'module' && atLeast(reserve, 'in-part') ? 'in-part' : loss
}

const EVERYTHING_UNKNOWN: Affects = {
  losses: Object.fromEntries(PROTECTIONS.map((name) => [name, 'unknown'])) as Affects['losses'],
}

/** Loss of a function by one condition, before others are looked at. */
const lossOf = ({ losses }: Affects, name: ProtectionFunction): Loss => losses[name] ?? 'works'

/** What all conditions leave of the reserve. */
const reserveOf = (standing: readonly Affects[]): Loss =>
  standing.map((affects) => lossOf(affects, 'power-reserve')).reduce<Loss>(worse, 'works')

/** Whether the system runs on its main battery now. */
export const isOnMainBattery = (standing: readonly Affects[]): boolean =>
  standing.some((affects) => affects.lasts?.battery === 'main' && isDraining(affects))

function combinedLosses(standing: readonly Affects[], isAlive: boolean): Record<ProtectionFunction, Loss> {
  const reserve = reserveOf(standing)
  const lossIn = (name: ProtectionFunction) =>
    standing
      .map((affects) => onBattery(lossOf(affects, name), affects.lasts?.battery, reserve, isAlive))
      .reduce<Loss>(worse, 'works')
  return Object.fromEntries(PROTECTIONS.map((name) => [name, lossIn(name)])) as Record<ProtectionFunction, Loss>
}

/** The least of several figures; undefined where none is given. */
function least(values: readonly (number | undefined)[]): number | undefined {
  const given = values.filter((value) => value !== undefined)
  return given.length === 0 ? undefined : Math.min(...given)
}

/** The range that a condition gives a battery; what is computed stands in for what is usual, never for a fault's. */
function rangeOn(affects: Affects, battery: Battery, computed: ProtectionFacts['mainHours']) {
  if (affects.lasts?.battery !== battery) return []
  return [computed && isDraining(affects) ? computed : affects.lasts]
}

/** Range of each battery in use: the shortest that any condition on that battery leaves. */
function reservesInUse(standing: readonly Affects[], { isReserveSpent, mainHours }: ProtectionFacts): Reserve[] {
  const inUse = (['main', 'module', 'own'] as const).filter((battery) =>
    standing.some((affects) => affects.lasts?.battery === battery && isDraining(affects)),
  )
  const reserves = inUse.map((battery) => {
    const computed = battery === 'main' ? mainHours : undefined
    const ranges = standing.flatMap((affects) => rangeOn(affects, battery, computed))
    const low = least(ranges.map(({ lowHours }) => lowHours))
    const highHours = least(ranges.map(({ highHours }) => highHours))
    const lowHours = low !== undefined && isReserveSpent && battery !== 'own' ? 0 : low
    return {
      battery,
      ...(lowHours === undefined ? {} : { lowHours }),
      ...(highHours === undefined ? {} : { highHours }),
    }
  })
  const end = ({ highHours }: Reserve) => highHours ?? Number.MAX_VALUE
  return reserves.sort((a, b) => end(a) - end(b))
}

/** The gravest statement that the losses call for. Judgement: who is neither heard nor reported is as good as unprotected. */
function stateOf(losses: Record<ProtectionFunction, Loss>): ProtectionState {
  const { detection, sounding, reporting } = losses
  const core = [losses['life-safety'], detection, sounding, reporting]
  const isGone = (loss: Loss) => atLeast(detection, loss) || (atLeast(sounding, loss) && atLeast(reporting, loss))
  if (isGone('lost')) return 'not-protected'
  if (isGone('doubtful')) return 'do-not-rely'
  if ([...core, losses.control].some((loss) => atLeast(loss, 'in-part'))) return 'partly'
  if (core.includes('unknown')) return 'unknown'
  const isForNow = Object.values(losses).includes('until-battery-ends') || atLeast(losses['power-reserve'], 'in-part')
  return isForNow ? 'works-for-now' : 'no-loss-reported'
}

/**
 * What several standing conditions leave of the protection, as one statement.
 *
 * Each function takes the gravest loss of any condition; one that runs on the main battery takes the loss of the reserve
 * along. A condition that does not say what it affects leaves every function unknown. A further condition never makes
 * the statement better, and the order of conditions does not matter.
 *
 * @param standing - one item for each condition that stands; undefined where it does not say what it affects
 * @param facts - whether the display has been read whole, whether it was read just now, and whether the reserve is known to be partly used up
 * @returns the state, the loss of each function and the batteries in use with their ranges [h]
 * @validity says what is reported lost, never that the rest works: only a test of each part shows that
 * @example combineProtection([{ losses: { sounding: 'lost' } }], { isAllKnown: true }).state // 'partly'
 */
export function combineProtection(
  standing: readonly (Affects | undefined)[],
  facts: ProtectionFacts,
): CombinedProtection {
  const { isAllKnown, isAlive = false } = facts
  const stated = standing.map((affects) => affects ?? EVERYTHING_UNKNOWN)
  const losses = combinedLosses(stated, isAlive)
  const isNothingKnown = standing.length === 0 && !isAllKnown
  const until = reservesInUse(stated, facts)
  return {
    state: isNothingKnown ? 'unknown' : stateOf(losses),
    losses,
    until,
    endsWithMains: atLeast(losses['power-reserve'], 'in-part') && until.every(({ battery }) => battery !== 'main'),
    mayStopAnyMoment: isAlive && isOnMainBattery(stated) && atLeast(reserveOf(stated), 'doubtful'),
    mayBeWorse: !isAllKnown || stated.some((affects) => Object.values(affects.losses).includes('unknown')),
  }
}

/** Whether a loss is at least as grave as another. */
export const isAtLeast = atLeast
