import { DomainError } from '../errors.ts'
import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { type Conductor, gaugeNumber, IEC_60228_LIMITS, ohmPerKm, wireAreaMm2 } from './wire.ts'

export interface WireRunInput {
  supplyV: number
  /** Constant current; or power of a regulated load, which draws more as the voltage falls. */
  currentA?: number
  powerW?: number
  /** One way. */
  lengthM?: number
  awg?: string
  areaMm2?: number
  isStranded?: boolean
  material?: 'copper' | 'copper-clad-aluminium'
  temperatureC?: number
  /** Share of the supply that may be lost. */
  dropFraction?: number
}
export interface WireRun {
  /** There and back. */
  loopOhm?: number
  drop?: { dropV: number; dropFraction: number; loadV: number; currentA: number }
  /** A regulated load that the wire cannot feed: its supply folds and it restarts in cycles. */
  collapses?: boolean
  /** Thinnest that keeps the drop. */
  smallestAwg?: string
  smallestAreaMm2?: number
  longestRunM?: number
  ohmPerKm?: number
  standardLimit?: { standard: string; nominalAreaMm2: number; ohmPerKm: number }
  wouldChange: string[]
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}

const GAUGES = ['0000', '000', '00', '0', ...Array.from({ length: 40 }, (_, index) => String(index + 1))]

function check(input: WireRunInput): void {
  const optional = (value: number | undefined, path: string, low: number, high: number, unit: string) => () =>
    value === undefined ? undefined : within(value, path, low, high, unit)
  refuseTogether([
    () => within(input.supplyV, '/supply', 0.1, 1000, 'V'),
    optional(input.currentA, '/current', 1e-6, 1000, 'A'),
    optional(input.powerW, '/power', 1e-6, 10_000, 'W'),
    optional(input.lengthM, '/length', 0.01, 100_000, 'm'),
    optional(input.areaMm2, '/wire/area', 0.001, 500, 'mm2'),
    optional(input.temperatureC, '/temperature', -60, 150, 'degrees C'),
    optional(input.dropFraction, '/drop', 0.001, 0.9, '1'),
    () => (input.awg === undefined ? undefined : gaugeNumber(input.awg)),
    () => oneOf(input.currentA, input.powerW, '/current', 'current or power'),
    () => atMostOne(input.awg, input.areaMm2),
    () => enough(input),
  ])
}

function oneOf(a: unknown, b: unknown, path: string, what: string): void {
  if ((a === undefined) === (b === undefined))
    throw new DomainError('QUANTITY_OUT_OF_RANGE', `give either ${what}`, { path })
}
function atMostOne(awg: unknown, area: unknown): void {
  if (awg !== undefined && area !== undefined)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'give either awg or area of the wire', { path: '/wire' })
}
function enough({ lengthM, awg, areaMm2 }: WireRunInput): void {
  if (lengthM === undefined && awg === undefined && areaMm2 === undefined)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'give length, wire or both', { path: '/length' })
}

function conductorOf({ awg, areaMm2, isStranded, material }: WireRunInput): Conductor | undefined {
  const area = awg === undefined ? areaMm2 : wireAreaMm2(gaugeNumber(awg))
  if (area === undefined) return undefined
  return {
    areaMm2: area,
    ...(isStranded === undefined ? {} : { isStranded }),
    ...(material === undefined ? {} : { material }),
  }
}

/**
 * Voltage that reaches a load through a wire, in V.
 *
 * constant current: V = Vs - I R;  constant power: V = (Vs + sqrt(Vs^2 - 4 R P)) / 2
 *
 * @returns undefined where a constant power cannot be carried: P > Vs^2 / (4 R)
 * @source ohm's law
 * @example loadVoltage(12, 2.514, { powerW: 6 }) // 10.574
 */
export function loadVoltage(
  supplyV: number,
  loopOhm: number,
  load: { currentA?: number; powerW?: number },
): number | undefined {
  if (load.powerW === undefined) return Math.max(0, supplyV - (load.currentA ?? 0) * loopOhm)
  const root = supplyV ** 2 - 4 * loopOhm * load.powerW
  return root < 0 ? undefined : (supplyV + Math.sqrt(root)) / 2
}

/** Most loop resistance that leaves the load its voltage. */
function allowedOhm({ supplyV, currentA, powerW, dropFraction = 0.1 }: WireRunInput): number {
  const dropV = supplyV * dropFraction
  const current = currentA ?? powerW! / (supplyV - dropV)
  return dropV / current
}

function dropOf(input: WireRunInput, loopOhm: number): Pick<WireRun, 'drop' | 'collapses'> {
  const { supplyV, currentA, powerW } = input
  const loadV = loadVoltage(supplyV, loopOhm, input)
  if (loadV === undefined) return { collapses: true }
  const drawn = currentA ?? powerW! / loadV
  const dropV = supplyV - loadV
  return { drop: { dropV, dropFraction: dropV / supplyV, loadV, currentA: drawn } }
}

/** Thinnest gauge and area whose loop stays within the resistance. */
function smallest(input: WireRunInput, limitOhm: number) {
  const { lengthM, temperatureC = 20, isStranded, material } = input
  if (lengthM === undefined) return {}
  const loopOf = (areaMm2: number) =>
    (2 *
      lengthM *
      ohmPerKm({ areaMm2, ...(isStranded && { isStranded }), ...(material && { material }) }, temperatureC)) /
    1000
  const awg = [...GAUGES].reverse().find((name) => loopOf(wireAreaMm2(gaugeNumber(name))) <= limitOhm)
  return { ...(awg === undefined ? {} : { smallestAwg: awg }), smallestAreaMm2: loopOf(1) / limitOhm }
}

function limitFor({ areaMm2, isStranded }: WireRunInput): Pick<WireRun, 'standardLimit'> {
  const table = IEC_60228_LIMITS[isStranded ? 'flexible' : 'solid-or-stranded']
  const row = table.find(([area]) => area === areaMm2)
  if (!row) return {}
  const kind = isStranded ? 'class 5' : 'classes 1 and 2'
  return {
    standardLimit: {
      standard: `IEC 60228 ${kind}, 20 degrees C (as reported)`,
      nominalAreaMm2: row[0],
      ohmPerKm: row[1],
    },
  }
}

function warningsOf(input: WireRunInput, { drop, collapses, smallestAwg }: WireRun): Warning[] {
  const { material, temperatureC = 20, dropFraction = 0.1 } = input
  return warningsWhere([
    [
      collapses === true,
      'SUPPLY_FOLDS',
      'The load draws more than this wire can carry: it starts, folds and restarts in cycles.',
    ],
    [
      drop !== undefined && drop.dropFraction > dropFraction,
      'DROP_TOO_LARGE',
      `More than ${written(100 * dropFraction)} % is lost on the way.`,
    ],
    [
      material === 'copper-clad-aluminium',
      'COPPER_CLAD',
      'Copper-clad aluminium has about 1.6 times the resistance of copper and breaks more easily at a screw.',
    ],
    [temperatureC > 40, 'HOT', 'Wire in a hot loft has more resistance than a table at 20 degrees C says.'],
    [
      smallestAwg === undefined && input.lengthM !== undefined,
      'NO_GAUGE',
      'No gauge up to 0000 keeps the drop: shorten the run or feed the load nearby.',
    ],
  ])
}

function stepsOf(input: WireRunInput, run: WireRun): Step[] {
  const { lengthM, temperatureC = 20, supplyV } = input
  const steps: Step[] = []
  if (run.loopOhm !== undefined && lengthM !== undefined)
    steps.push({
      formula: 'loop resistance = 2 x length x resistance a length at the temperature',
      substituted: `2 x ${written(lengthM)} m x ${written(run.ohmPerKm!)} Ohm/km at ${written(temperatureC)} degrees C`,
      value: run.loopOhm,
      unit: 'Ohm',
      source: 'ASTM B258 gauge law (from memory), IACS copper 1/58 Ohm mm2/m',
    })
  if (run.drop)
    steps.push({
      formula: 'drop = current x loop resistance',
      substituted: `${written(run.drop.currentA)} A x ${written(run.loopOhm!)} Ohm of ${written(supplyV)} V`,
      value: run.drop.dropV,
      unit: 'V',
      source: "Ohm's law",
    })
  if (run.longestRunM !== undefined)
    steps.push({
      formula: 'longest run = allowed drop / (2 x resistance a length x current)',
      substituted: `${written(allowedOhm(input))} Ohm / (2 x ${written(run.ohmPerKm!)} Ohm/km)`,
      value: run.longestRunM,
      unit: 'm',
      source: "Ohm's law",
    })
  return steps
}

function wouldChange(input: WireRunInput, { longestRunM, loopOhm, smallestAwg }: WireRun): string[] {
  const { supplyV, dropFraction = 0.1 } = input
  const within = `${written(100 * dropFraction)} %`
  const said = [
    longestRunM !== undefined && `This wire keeps ${within} up to ${written(longestRunM)} m one way.`,
    loopOhm !== undefined && `This run keeps ${within} up to ${written((supplyV * dropFraction) / loopOhm)} A.`,
    smallestAwg !== undefined && `AWG ${smallestAwg} is the thinnest gauge that keeps ${within}.`,
    longestRunM === undefined && smallestAwg === undefined && 'A shorter run, or a supply near the load.',
  ]
  return said.filter((line) => typeof line === 'string')
}

/**
 * Two-conductor run: drop and voltage at its end, thinnest wire for a permitted drop, longest run.
 *
 * @param input - supply [V], current [A] or power [W], one-way length [m], gauge or area [mm2], temperature [degrees C]
 * @throws DomainError QUANTITY_OUT_OF_RANGE, all mistakes together
 * @validity one load at the end; a common return shared with other loads drops more
 * @source ohm's law; see wire.ts for gauges and copper
 */
export function wireRun(input: WireRunInput): WireRun {
  check(input)
  const { lengthM, temperatureC = 20 } = input
  const conductor = conductorOf(input)
  const perKm = conductor && ohmPerKm(conductor, temperatureC)
  const loopOhm = perKm === undefined || lengthM === undefined ? undefined : (2 * lengthM * perKm) / 1000
  const limit = allowedOhm(input)
  const run: WireRun = {
    ...(perKm === undefined ? {} : { ohmPerKm: perKm, longestRunM: (1000 * limit) / (2 * perKm) }),
    ...(loopOhm === undefined ? {} : { loopOhm, ...dropOf(input, loopOhm) }),
    ...smallest(input, limit),
    ...limitFor(input),
    wouldChange: [],
    steps: [],
    warnings: [],
    validity:
      'One load at the end of one pair, direct current; use the low end of the supply, and the peak of the current.',
    hazards: ['hazard/monitored-system-signals'],
  }
  return { ...run, wouldChange: wouldChange(input, run), steps: stepsOf(input, run), warnings: warningsOf(input, run) }
}
