import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { type Interval, loopResistance, meets, toleranced } from './interval.ts'
import { checkLoop } from './loop-check.ts'
import { loopStates } from './loop-states.ts'
import type { Boundary, LoopAnalysis, LoopInput, LoopState, StateRange } from './loop-types.ts'

export type * from './loop-types.ts'

/** A state of no resistance has no ratio to its neighbour: it counts as this share of the neighbour. Judgement. */
const LEAST_SHARE = 0.01

/** Where the ratio to both states is the same; twice the last one below an open circuit. */
const geometricMean = (a: Interval, b: Interval): number => {
  if (b.low === Number.POSITIVE_INFINITY) return 2 * a.high || 1
  return Math.sqrt(Math.max(a.high, b.low * LEAST_SHARE) * b.low)
}

/** Limits between neighbouring states: those given, or where the ratio to both ends is the same. */
function boundariesOf(states: readonly StateRange[], given: readonly number[] | undefined): Boundary[] {
  return states.slice(1).map((above, index) => {
    const below = states[index]!
    const thresholdOhm = given?.[index] ?? geometricMean(below.ohm, above.ohm)
    const ratioMargin = Math.min(
      below.ohm.high === 0 ? Number.MAX_SAFE_INTEGER : thresholdOhm / below.ohm.high,
      above.ohm.low === Number.POSITIVE_INFINITY ? Number.MAX_SAFE_INTEGER : above.ohm.low / thresholdOhm,
    )
    return { below: below.state, above: above.state, thresholdOhm, ratioMargin }
  })
}

/** Edges of the band in which a state is read as itself. */
function bandOf(state: LoopState, boundaries: readonly Boundary[]): Interval {
  return {
    low: boundaries.find(({ above }) => above === state)?.thresholdOhm ?? 0,
    high: boundaries.find(({ below }) => below === state)?.thresholdOhm ?? Number.POSITIVE_INFINITY,
  }
}

/** Leak across the pair that brings a resistance down to a limit: 1 / (1 / limit - 1 / R). */
export function leakageDownTo(limitOhm: number, ohm: number): number {
  return 1 / (1 / limitOhm - 1 / ohm)
}

/** Most series resistance and least leakage before a state is read as another. */
function reserves(input: LoopInput, states: readonly StateRange[], boundaries: readonly Boundary[]) {
  const normal = states.find(({ state }) => state === 'normal')!
  const alarm = states.find(({ state }) => state === 'alarm')
  const band = bandOf('normal', boundaries)
  const hasPart = Number.isFinite(normal.ohm.high)
  const bare = loopStates({ ...input, wireOhm: 0, contactOhm: 0 }).find(({ state }) => state === 'normal')!
  const masks = alarm && normal.ohm.high < alarm.ohm.low ? bandOf('alarm', boundaries).low : undefined
  return {
    ...(hasPart && Number.isFinite(band.high) && band.high > bare.ohm.high
      ? { largestSeriesOhm: band.high - bare.ohm.high }
      : {}),
    ...(hasPart && band.low > 0 && normal.ohm.low > band.low
      ? { smallestLeakageOhm: leakageDownTo(band.low, normal.ohm.low) }
      : {}),
    ...(alarm && masks !== undefined && alarm.ohm.high > masks
      ? { alarmMaskedBelowOhm: leakageDownTo(masks, alarm.ohm.high) }
      : {}),
  }
}

function measuredOhm(input: LoopInput): Interval {
  const { value, unit, boundAbsolute } = input.measured!
  const read = { low: value - boundAbsolute, high: value + boundAbsolute }
  if (unit === 'Ohm') return { low: Math.max(0, read.low), high: read.high }
  return loopResistance(
    read,
    toleranced(input.supplyV!, input.supplyToleranceFraction ?? 0),
    toleranced(input.pullUpOhm!, input.pullUpToleranceFraction ?? 0.01),
  )
}

const SAYING = {
  clear: 'One state only agrees with the reading.',
  'cannot-tell': 'More than one state agrees with the reading: the meter or the parts leave it open.',
  'between-states': 'No state of this loop reads so: wire or splice resistance, leakage, or another part than stated.',
} as const

/** Every state whose interval meets the reading: never more certainty than the intervals allow. */
function classify(input: LoopInput, states: readonly StateRange[]): NonNullable<LoopAnalysis['classification']> {
  const ohm = measuredOhm(input)
  const possible = states.filter((state) => meets(state.ohm, ohm)).map(({ state }) => state)
  const verdict = possible.length === 1 ? 'clear' : possible.length === 0 ? 'between-states' : 'cannot-tell'
  return { ohm, possible, verdict, text: SAYING[verdict] }
}

/** Neighbours nearer than this ratio are hard to hold apart. Judgement. */
const LEAST_RATIO = 1.3

function warningsOf(input: LoopInput, states: readonly StateRange[], boundaries: readonly Boundary[]): Warning[] {
  const near = boundaries.find(({ ratioMargin }) => ratioMargin ** 2 < LEAST_RATIO)
  const overlapping = states.slice(1).find((state, index) => meets(states[index]!.ohm, state.ohm))
  return warningsWhere([
    [
      near !== undefined,
      'STATES_CLOSE',
      `${near?.below} and ${near?.above} lie so near each other that wire, leakage or tolerance can swap them.`,
    ],
    [
      overlapping !== undefined,
      'STATES_OVERLAP',
      `${overlapping?.state} overlaps its neighbour: resistance cannot tell them apart.`,
    ],
    [
      input.scheme === 'none',
      'NOT_SUPERVISED',
      'Without an end-of-line part the loop cannot tell a fault of the wire from its contact.',
    ],
    [
      input.contact === 'normally-open' && input.scheme === 'single',
      'PART_MUST_BE_AT_THE_END',
      'A part fitted at the panel proves the panel only: a cut wire still reads normal. Work the contact to be sure.',
    ],
    [
      input.alarmOhm !== undefined && input.alarmOhm === input.faultOhm,
      'PARTS_EQUAL',
      'Alarm and fault part are equal: the two states read the same.',
    ],
  ])
}

function stepsOf(input: LoopInput, states: readonly StateRange[]): Step[] {
  const normal = states.find(({ state }) => state === 'normal')!
  if (!Number.isFinite(normal.ohm.high)) return []
  const { endOfLineOhm = 0, wireOhm = 0, contactOhm = 0, toleranceFraction = 0.05, leakageOhm } = input
  const leak = leakageOhm === undefined ? '' : `, beside ${written(leakageOhm)} Ohm of leakage`
  const ohm: Step = {
    formula: 'normal = end-of-line part + wire + contacts, beside the leakage',
    substituted: `${written(endOfLineOhm)} Ohm x (1 +/- ${written(toleranceFraction)}) + ${written(wireOhm)} Ohm + ${written(contactOhm)} Ohm${leak}`,
    value: (normal.ohm.low + normal.ohm.high) / 2,
    unit: 'Ohm',
    source: "Ohm's law, interval arithmetic",
  }
  if (normal.voltage === undefined) return [ohm]
  return [
    ohm,
    {
      formula: 'terminal voltage = supply x R / (pull-up + R)',
      substituted: `${written(input.supplyV!)} V x ${written(ohm.value)} / (${written(input.pullUpOhm!)} + ${written(ohm.value)})`,
      value: (normal.voltage.low + normal.voltage.high) / 2,
      unit: 'V',
      source: "Ohm's law",
    },
  ]
}

function wouldChange(
  input: LoopInput,
  { largestSeriesOhm, smallestLeakageOhm, alarmMaskedBelowOhm }: ReturnType<typeof reserves>,
  classification: LoopAnalysis['classification'],
): string[] {
  const said = [
    largestSeriesOhm !== undefined &&
      `Over ${written(largestSeriesOhm)} Ohm of wire, splices and contacts the loop no longer reads normal.`,
    smallestLeakageOhm !== undefined &&
      `Under ${written(smallestLeakageOhm)} Ohm of leakage the loop no longer reads normal.`,
    alarmMaskedBelowOhm !== undefined &&
      alarmMaskedBelowOhm > 0 &&
      `Under ${written(alarmMaskedBelowOhm)} Ohm of leakage an alarm is hidden.`,
    classification?.verdict === 'cannot-tell' &&
      'A meter with a smaller limit of error, or parts of a closer tolerance.',
    input.scheme === 'none' &&
      'A part at the end of the line: without one a short or a cut cannot be told from a contact.',
  ]
  return said.filter((line) => typeof line === 'string')
}

/**
 * What a supervised loop reads in each of its states, and what a reading may mean.
 *
 * each state as an interval over part tolerance, wire, contacts and leakage; a reading is every state it meets
 *
 * @param input - parts [Ohm], tolerances as fractions, supply [V]
 * @returns states, limits between them, reserves of series resistance and leakage, classification of a reading
 * @throws DomainError QUANTITY_OUT_OF_RANGE, all mistakes together
 * @validity resistive loops with DC supervision; not pulsed, addressed or powered two-wire loops
 * @source ohm's law; thresholds at the geometric mean where none are given (own-derivation)
 */
export function analyseLoop(input: LoopInput): LoopAnalysis {
  checkLoop(input)
  const states = loopStates(input)
  const boundaries = boundariesOf(states, input.thresholdsOhm)
  const reserve = reserves(input, states, boundaries)
  const classification = input.measured && classify(input, states)
  return {
    states,
    boundaries,
    thresholdsBy: input.thresholdsOhm ? 'given' : 'geometric-mean',
    ...reserve,
    ...(classification && { classification }),
    wouldChange: wouldChange(input, reserve, classification),
    steps: stepsOf(input, states),
    warnings: warningsOf(input, states, boundaries),
    validity:
      'Resistive loops with DC supervision. Which state gives alarm, tamper or trouble is set by programming, and no standard fixes the values of the parts.',
    hazards: ['hazard/monitored-system-signals'],
  }
}
