import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { exactly, type Interval, meets, OPEN, parallel, series, toleranced } from './interval.ts'

/**
 * Kinds of supervised sounder circuit.
 * parallel: part beside the sounder, same polarity; reverse: a diode in the sounder, supervision runs backwards and sees the
 * part only; bare: no part, the sounder itself is supervised.
 */
export const SOUNDER_KINDS = ['parallel', 'reverse', 'bare'] as const
export type SounderKind = (typeof SOUNDER_KINDS)[number]
export type SounderState =
  | 'all-good'
  | 'sounder-missing'
  | 'part-missing'
  | 'wire-cut'
  | 'short-at-far-end'
  | 'short-at-panel'

export interface SounderInput {
  kind: SounderKind
  /** Coil or speaker: its DC resistance. An electronic siren has none that a meter can judge. */
  sounderOhm?: number
  sounders?: number
  endOfLineOhm?: number
  toleranceFraction?: number
  wireOhm?: number
  driveVoltageV?: number
  /** Current of one sounder in alarm. */
  sounderCurrentA?: number
  outputLimitA?: number
  measured?: { ohm: number; boundAbsolute: number }
}
export interface SounderReading {
  state: SounderState
  /** Power off, wires lifted from the panel, lead as in supervision; absent where no meter can say. */
  ohm?: Interval
  /** Leads the other way round, for a circuit with a diode. */
  forward?: string
}
export interface SounderAnalysis {
  readings: SounderReading[]
  inAlarm?: { currentA: number; dropV?: number; sounderV?: number; partPowerW?: number; isOverload?: boolean }
  classification?: { possible: SounderState[]; verdict: 'clear' | 'cannot-tell' | 'none-fits'; text: string }
  wouldChange: string[]
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}

/** Sounder coils and parts vary about so much. Judgement. */
const SOUNDER_TOLERANCE = 0.2

function check(input: SounderInput): void {
  const optional = (value: number | undefined, path: string, low: number, high: number, unit: string) => () =>
    value === undefined ? undefined : within(value, path, low, high, unit)
  refuseTogether([
    optional(input.sounderOhm, '/sounderResistance', 0.1, 1e7, 'Ohm'),
    optional(input.sounders, '/sounders', 1, 50, '1'),
    optional(input.endOfLineOhm, '/endOfLine', 1, 1e7, 'Ohm'),
    optional(input.toleranceFraction, '/tolerance', 0, 0.5, '1'),
    optional(input.wireOhm, '/wire', 0, 1e4, 'Ohm'),
    optional(input.driveVoltageV, '/driveVoltage', 0.1, 60, 'V'),
    optional(input.sounderCurrentA, '/sounderCurrent', 0, 100, 'A'),
    optional(input.outputLimitA, '/outputLimit', 1e-3, 100, 'A'),
    optional(input.measured?.ohm, '/measured', 0, 1e9, 'Ohm'),
    optional(input.measured?.boundAbsolute, '/meter', 0, 1e9, 'Ohm'),
  ])
}

function readingsOf(input: SounderInput): SounderReading[] {
  const { kind, sounderOhm, sounders = 1, endOfLineOhm, toleranceFraction = 0.05, wireOhm = 0 } = input
  const wire = exactly(wireOhm)
  const part = endOfLineOhm === undefined || kind === 'bare' ? OPEN : toleranced(endOfLineOhm, toleranceFraction)
  const horn = sounderOhm === undefined ? undefined : toleranced(sounderOhm / sounders, SOUNDER_TOLERANCE)
  const seen = (ohm: Interval) => ({ ohm: series(ohm, wire) })
  const isReverse = kind === 'reverse'
  const good = isReverse ? seen(part) : horn ? seen(parallel(horn, part)) : {}
  const partMissing = isReverse ? { ohm: OPEN } : horn ? seen(horn) : {}
  const forward = (text: string) => (isReverse ? { forward: text } : {})
  const states: SounderReading[] = [
    { state: 'all-good', ...good, ...forward('between the sounder and the part, by the meter') },
    { state: 'sounder-missing', ...seen(part), ...forward('the part') },
    { state: 'part-missing', ...partMissing, ...forward('like a diode') },
    { state: 'wire-cut', ohm: OPEN, ...forward('over range') },
    { state: 'short-at-far-end', ohm: exactly(wireOhm), ...forward('the wire') },
    { state: 'short-at-panel', ohm: exactly(0), ...forward('0') },
  ]
  return kind === 'bare' ? states.filter(({ state }) => state !== 'part-missing') : states
}

function inAlarm(input: SounderInput): SounderAnalysis['inAlarm'] {
  const { driveVoltageV, sounderOhm, sounders = 1, wireOhm = 0, endOfLineOhm, outputLimitA } = input
  const each =
    input.sounderCurrentA ??
    (driveVoltageV !== undefined && sounderOhm !== undefined ? driveVoltageV / sounderOhm : undefined)
  if (each === undefined) return undefined
  const currentA = each * sounders
  const dropV = currentA * wireOhm
  return {
    currentA,
    dropV,
    ...(driveVoltageV === undefined ? {} : { sounderV: Math.max(0, driveVoltageV - dropV) }),
    ...(driveVoltageV === undefined || endOfLineOhm === undefined
      ? {}
      : { partPowerW: driveVoltageV ** 2 / endOfLineOhm }),
    ...(outputLimitA === undefined ? {} : { isOverload: currentA > outputLimitA }),
  }
}

function classify(readings: readonly SounderReading[], measured: { ohm: number; boundAbsolute: number }) {
  const read = { low: Math.max(0, measured.ohm - measured.boundAbsolute), high: measured.ohm + measured.boundAbsolute }
  const possible = readings.filter(({ ohm }) => ohm === undefined || meets(ohm, read)).map(({ state }) => state)
  if (possible.length === 0)
    return {
      possible,
      verdict: 'none-fits' as const,
      text: 'No state of this circuit reads so: another part, another siren, or a bad joint.',
    }
  if (possible.length === 1)
    return { possible, verdict: 'clear' as const, text: 'One state only agrees with the reading.' }
  const text = 'More than one state agrees: lift one lead of the siren and read again.'
  return { possible, verdict: 'cannot-tell' as const, text }
}

function stepsOf(input: SounderInput, alarm: SounderAnalysis['inAlarm'], good: Interval | undefined): Step[] {
  const { wireOhm = 0, driveVoltageV } = input
  const steps: Step[] = []
  if (good && Number.isFinite(good.high))
    steps.push({
      formula: 'all good = sounder beside the part + wire (the part alone where a diode hides the sounder)',
      substituted: `${written(input.sounderOhm ?? 0)} Ohm / ${written(input.sounders ?? 1)} beside ${written(input.endOfLineOhm ?? 0)} Ohm + ${written(wireOhm)} Ohm`,
      value: (good.low + good.high) / 2,
      unit: 'Ohm',
      source: "Ohm's law",
    })
  if (alarm?.dropV !== undefined && driveVoltageV !== undefined)
    steps.push({
      formula: 'voltage at the siren = drive voltage - current x wire',
      substituted: `${written(driveVoltageV)} V - ${written(alarm.currentA)} A x ${written(wireOhm)} Ohm`,
      value: alarm.sounderV!,
      unit: 'V',
      source: "Ohm's law",
    })
  return steps
}

/** A sounder this far below its drive is likely to be weak. Judgement. */
const WEAK_FRACTION = 0.85

function warningsOf(input: SounderInput, alarm: SounderAnalysis['inAlarm']): Warning[] {
  const { sounderOhm, endOfLineOhm, driveVoltageV, outputLimitA, kind } = input
  const hides =
    kind === 'parallel' && sounderOhm !== undefined && endOfLineOhm !== undefined && sounderOhm * 20 < endOfLineOhm
  return warningsWhere([
    [
      hides,
      'SOUNDER_HIDES_PART',
      'The siren hides the part: with it connected no handheld meter can tell whether the part is there. Lift one lead.',
    ],
    [
      sounderOhm === undefined,
      'ELECTRONIC_SIREN',
      'An electronic siren reads anything from tens of ohms to megohms: do not judge it by ohms.',
    ],
    [
      alarm?.isOverload === true,
      'OUTPUT_OVERLOADED',
      `The sirens draw more than the output's ${written(outputLimitA ?? 0)} A: it may trip or fold back and sound weak.`,
    ],
    [
      alarm?.sounderV !== undefined && driveVoltageV !== undefined && alarm.sounderV < WEAK_FRACTION * driveVoltageV,
      'SIREN_WEAK',
      'The wire takes so much voltage that the siren is weak: a bad splice, a long or a thin wire.',
    ],
  ])
}

function wouldChange(input: SounderInput, alarm: SounderAnalysis['inAlarm']): string[] {
  const { sounders = 1, driveVoltageV, outputLimitA } = input
  const each = (alarm?.currentA ?? 0) / sounders
  const said = [
    each > 0 &&
      outputLimitA !== undefined &&
      `The output carries up to ${Math.floor(outputLimitA / each)} of these sirens.`,
    each > 0 &&
      driveVoltageV !== undefined &&
      `Over ${written(((1 - WEAK_FRACTION) * driveVoltageV) / alarm!.currentA)} Ohm of wire the siren is likely to be weak.`,
    'A second reading with one lead of the siren lifted tells the siren from the part.',
  ]
  return said.filter((line) => typeof line === 'string')
}

/**
 * What a supervised siren circuit reads with its power off in each state, and what it draws in alarm.
 *
 * states as intervals over tolerances; alarm current, drop and power by Ohm's law
 *
 * @param input - resistances [Ohm], voltages [V], currents [A]
 * @throws DomainError QUANTITY_OUT_OF_RANGE, all mistakes together
 * @validity power off and both wires lifted from the panel; lifting them can sound a self-powered siren
 * @source ohm's law; kinds of circuit are common practice, no source
 */
export function analyseSounder(input: SounderInput): SounderAnalysis {
  check(input)
  const readings = readingsOf(input)
  const alarm = inAlarm(input)
  const good = readings.find(({ state }) => state === 'all-good')?.ohm
  return {
    readings,
    ...(alarm && { inAlarm: alarm }),
    ...(input.measured && { classification: classify(readings, input.measured) }),
    wouldChange: wouldChange(input, alarm),
    steps: stepsOf(input, alarm, good),
    warnings: warningsOf(input, alarm),
    validity:
      'Power off, wires lifted from the panel. Missing siren, missing part and short are told apart for sure only by two readings: siren on, and one lead lifted.',
    hazards: ['hazard/siren-noise', 'hazard/monitored-system-signals'],
  }
}
