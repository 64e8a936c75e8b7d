import { DomainError } from '../errors.ts'
import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { type Band, type DecodedResistor, decodeBands, encodeBands } from './colour-code.ts'
import { type Interval, meets, toleranced } from './interval.ts'
import { decodeLetters, encodeLetters } from './letter-code.ts'
import { nearestPreferred, preferredBetween, type Series } from './preferred-values.ts'

export interface ResistorInput {
  bands?: readonly Band[]
  letters?: string
  ohm?: number
  /** What a meter reads, with its limit of error and the wire in between. */
  measured?: { ohm: number; boundOhm: number; wireOhm?: number; wireBoundOhm?: number }
  /** Values that may be fitted; a series when left out. */
  fittedOhm?: readonly number[]
  series?: Series
  toleranceFraction?: number
  /** Values at hand to make a wanted value of. */
  stockOhm?: readonly number[]
  /** Across it, for its power. */
  voltageV?: number
  ratedPowerW?: number
}
export interface Combination {
  parts: number[]
  how: 'one' | 'series' | 'parallel'
  ohm: number
  errorFraction: number
}
export interface ResistorAnswer {
  bands?: { candidates: DecodedResistor[]; verdict: 'clear' | 'ambiguous' | 'none' }
  letters?: { ohm: number; toleranceFraction?: number }
  asBands?: string[]
  asLetters?: string
  nearest?: { series: Series; ohm: number }
  fitted?: { ohm: Interval; candidatesOhm: number[]; verdict: 'identified' | 'cannot-tell' | 'not-a-lone-part' }
  combinations?: Combination[]
  power?: { powerW: number; fractionOfRating?: number }
  wouldChange: string[]
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}

const MOST_COMBINATIONS = 5
const MOST_STOCK = 60

function check(input: ResistorInput): void {
  const optional = (value: number | undefined, path: string, low: number, high: number, unit: string) => () =>
    value === undefined ? undefined : within(value, path, low, high, unit)
  refuseTogether([
    optional(input.ohm, '/resistance', 1e-3, 1e11, 'Ohm'),
    optional(input.measured?.ohm, '/measured', 0, 1e11, 'Ohm'),
    optional(input.measured?.boundOhm, '/meter', 0, 1e11, 'Ohm'),
    optional(input.measured?.wireOhm, '/wire', 0, 1e6, 'Ohm'),
    optional(input.toleranceFraction, '/tolerance', 0, 0.5, '1'),
    optional(input.voltageV, '/voltage', 0, 1000, 'V'),
    optional(input.ratedPowerW, '/ratedPower', 1e-3, 1000, 'W'),
    ...(input.fittedOhm ?? []).map((ohm, index) => optional(ohm, `/fitted/${index}`, 1e-3, 1e11, 'Ohm')),
    ...(input.stockOhm ?? []).map((ohm, index) => optional(ohm, `/stock/${index}`, 1e-3, 1e11, 'Ohm')),
    () => within(input.stockOhm?.length ?? 0, '/stock', 0, MOST_STOCK, 'values'),
  ])
  const given = [input.bands, input.letters, input.ohm, input.measured]
  if (given.every((value) => value === undefined))
    throw new DomainError('NO_EVIDENCE', 'give at least one of bands, letters, resistance and measured', { path: '' })
}

function bandsAnswer(bands: readonly Band[]): NonNullable<ResistorAnswer['bands']> {
  const candidates = decodeBands(bands)
  const preferred = candidates.filter((candidate) => candidate.isPreferred)
  const values = new Set((preferred.length > 0 ? preferred : candidates).map(({ ohm }) => ohm))
  return { candidates, verdict: values.size === 0 ? 'none' : values.size === 1 ? 'clear' : 'ambiguous' }
}

/** Values whose tolerance band meets what the meter leaves possible. */
function fittedAnswer(input: ResistorInput): NonNullable<ResistorAnswer['fitted']> {
  const { ohm: read, boundOhm, wireOhm = 0, wireBoundOhm = 0 } = input.measured!
  const tolerance = input.toleranceFraction ?? 0.05
  const ohm = {
    low: Math.max(0, read - boundOhm - wireOhm - wireBoundOhm),
    high: read + boundOhm - wireOhm + wireBoundOhm,
  }
  const usual = () => preferredBetween(ohm.low * (1 - tolerance), ohm.high / (1 - tolerance), input.series ?? 'E24')
  const candidatesOhm = (input.fittedOhm ?? usual()).filter((value) => meets(toleranced(value, tolerance), ohm))
  const verdict =
    candidatesOhm.length === 1 ? 'identified' : candidatesOhm.length === 0 ? 'not-a-lone-part' : 'cannot-tell'
  return { ohm, candidatesOhm, verdict }
}

const MAKE: Record<Combination['how'], (parts: readonly number[]) => number> = {
  one: (parts) => parts[0]!,
  series: (parts) => parts.reduce((sum, part) => sum + part, 0),
  parallel: (parts) => 1 / parts.reduce((sum, part) => sum + 1 / part, 0),
}

/** Up to three of the values at hand, in series or in parallel, nearest to the wanted value first, fewest parts first. */
function combinationsFor(wanted: number, stock: readonly number[]): Combination[] {
  const values = [...new Set(stock)].sort((a, b) => a - b)
  const pairs = values.flatMap((a, i) => values.slice(i).map((b) => [a, b]))
  const triples = pairs.flatMap(([a, b]) => values.filter((c) => c >= b!).map((c) => [a!, b!, c]))
  const made = [
    ...values.map((value) => ({ parts: [value], how: 'one' as const })),
    ...[...pairs, ...triples].flatMap((parts) => [
      { parts, how: 'series' as const },
      { parts, how: 'parallel' as const },
    ]),
  ].map(({ parts, how }) => {
    const ohm = MAKE[how](parts)
    return { parts, how, ohm, errorFraction: ohm / wanted - 1 }
  })
  const quality = ({ errorFraction }: Combination) => Math.round(Math.abs(errorFraction) * 1e6)
  return made
    .sort((a, b) => quality(a) - quality(b) || a.parts.length - b.parts.length || a.ohm - b.ohm)
    .slice(0, MOST_COMBINATIONS)
}

function powerOf({ voltageV, ratedPowerW }: ResistorInput, ohm: number | undefined): Pick<ResistorAnswer, 'power'> {
  if (voltageV === undefined || ohm === undefined || ohm === 0) return {}
  const powerW = voltageV ** 2 / ohm
  return { power: { powerW, ...(ratedPowerW === undefined ? {} : { fractionOfRating: powerW / ratedPowerW }) } }
}

function warningsOf(answer: Partial<ResistorAnswer>): Warning[] {
  const share = answer.power?.fractionOfRating
  return warningsWhere([
    [
      answer.bands?.verdict === 'ambiguous',
      'READ_FROM_BOTH_ENDS',
      'The bands make sense from both ends or in several ways: measure it.',
    ],
    [
      answer.bands?.verdict === 'none',
      'NO_RESISTOR',
      'No direction makes a resistor: a colour is misread. Red, orange and brown are often mixed up.',
    ],
    [
      answer.fitted?.verdict === 'not-a-lone-part',
      'NOT_A_LONE_PART',
      'No such part reads so: another path, leakage, a semiconductor or a live circuit is in it.',
    ],
    [share !== undefined && share > 0.5, 'POWER_HIGH', 'Over half of its rated power: take a larger part.'],
  ])
}

function stepsOf(input: ResistorInput, answer: Partial<ResistorAnswer>): Step[] {
  const steps: Step[] = []
  const first = answer.bands?.candidates[0]
  if (first)
    steps.push({
      formula: 'value = digits x multiplier, then tolerance',
      substituted: first.bands.join(', '),
      value: first.ohm,
      unit: 'Ohm',
      source: 'IEC 60062 (a secondary chart)',
    })
  if (answer.fitted && input.measured)
    steps.push({
      formula: 'part = reading - wire, give or take the limits of error',
      substituted: `${written(input.measured.ohm)} Ohm - ${written(input.measured.wireOhm ?? 0)} Ohm +/- ${written(input.measured.boundOhm)} Ohm`,
      value: input.measured.ohm - (input.measured.wireOhm ?? 0),
      unit: 'Ohm',
      source: 'hard bound of the meter',
    })
  if (answer.power)
    steps.push({
      formula: 'power = voltage^2 / resistance',
      substituted: `${written(input.voltageV!)} V squared`,
      value: answer.power.powerW,
      unit: 'W',
      source: "Ohm's law",
    })
  return steps
}

/** Widest limit of error that would still hold neighbouring values apart; none where their tolerances overlap. */
function tellingBoundOhm(candidatesOhm: readonly number[], tolerance: number): number | undefined {
  const sorted = [...candidatesOhm].sort((a, b) => a - b)
  const gaps = sorted.slice(1).map((value, index) => value * (1 - tolerance) - sorted[index]! * (1 + tolerance))
  const least = Math.min(...gaps)
  return least > 0 ? least / 2 : undefined
}

function fittedWouldChange(
  { fitted }: Partial<ResistorAnswer>,
  { toleranceFraction = 0.05 }: ResistorInput,
): string | false {
  if (fitted?.verdict === 'not-a-lone-part') return 'The same reading with one lead of the part lifted.'
  if (fitted?.verdict !== 'cannot-tell')
    return fitted !== undefined && 'Another set of values that may be fitted, or a meter with a larger limit of error.'
  const bound = tellingBoundOhm(fitted.candidatesOhm, toleranceFraction)
  return bound === undefined
    ? 'No meter: the tolerances of these values overlap. The bands on the part decide.'
    : `A limit of error under ${written(bound)} Ohm holds these values apart.`
}

function wouldChange(input: ResistorInput, answer: Partial<ResistorAnswer>, ohm: number | undefined): string[] {
  const { ratedPowerW, voltageV, measured } = input
  const said = [
    answer.bands !== undefined && measured === undefined && 'A meter reading: colours are easily misread.',
    fittedWouldChange(answer, input),
    voltageV !== undefined &&
      ratedPowerW !== undefined &&
      ohm !== undefined &&
      `Over ${written(Math.sqrt(ratedPowerW * ohm))} V it gets more than its rated power.`,
    answer.nearest !== undefined && `Another series than ${answer.nearest.series} has other nearest values.`,
  ]
  return said.filter((line) => typeof line === 'string')
}

/**
 * Which resistor it is: by bands, by letters, by a meter reading; and what stands in for a wanted value.
 *
 * @throws DomainError NO_EVIDENCE, UNKNOWN_ID, QUANTITY_OUT_OF_RANGE, all mistakes together
 * @validity a part is measured with one lead free and no power
 * @source iec-60062, iec-60063 (as reported); ohm's law
 */
export function identifyResistor(input: ResistorInput): ResistorAnswer {
  check(input)
  const bands = input.bands && bandsAnswer(input.bands)
  const letters = input.letters === undefined ? undefined : decodeLetters(input.letters)
  if (input.letters !== undefined && !letters)
    throw new DomainError('UNKNOWN_ID', `letters must be a letter code such as 4K7J, got ${input.letters}`, {
      path: '/letters',
      value: input.letters,
    })
  const ohm = input.ohm ?? letters?.ohm ?? bands?.candidates[0]?.ohm
  const series = input.series ?? 'E24'
  const asBands = ohm === undefined || ohm === 0 ? undefined : encodeBands(ohm, input.toleranceFraction ?? 0.05)
  const answer: Partial<ResistorAnswer> = {
    ...(bands && { bands }),
    ...(letters && { letters }),
    ...(asBands && { asBands }),
    ...(ohm === undefined || ohm === 0
      ? {}
      : {
          asLetters: encodeLetters(ohm, input.toleranceFraction),
          nearest: { series, ohm: nearestPreferred(ohm, series) },
        }),
    ...(input.measured && { fitted: fittedAnswer(input) }),
    ...(ohm !== undefined && input.stockOhm ? { combinations: combinationsFor(ohm, input.stockOhm) } : {}),
    ...powerOf(input, ohm),
  }
  return {
    ...answer,
    wouldChange: wouldChange(input, answer, ohm),
    steps: stepsOf(input, answer),
    warnings: warningsOf(answer),
    validity:
      'Measure a part with one lead free and all power off. Texts disagree on violet and grey as tolerance bands.',
    hazards: ['hazard/monitored-system-signals'],
  }
}
