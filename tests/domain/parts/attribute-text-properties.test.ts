import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { printAttributes } from '../../../src/domain/parts/attribute-text/print.ts'
import { readAttributes } from '../../../src/domain/parts/attribute-text/read-attributes.ts'
import type { ReadText } from '../../../src/domain/parts/attribute-text/types.ts'

type Said = Record<string, unknown>
const saidOf = ({ attributes }: ReadText): Said =>
  Object.fromEntries(attributes.map(({ name, value, range, list }) => [name, value ?? range ?? list]))
const asAttributes = (said: Said) =>
  Object.entries(said).map(([name, value]) =>
    Array.isArray(value)
      ? { name, list: value }
      : typeof value === 'object'
        ? { name, range: value as any }
        : { name, value: value as any },
  )

/** Numbers of up to six significant digits, as labels have them. */
const amount = (least: number, most: number) =>
  fc.double({ min: least, max: most, noNaN: true }).map((value) => Number(value.toPrecision(6)))
const range = (least: number, most: number) =>
  fc
    .tuple(amount(least, most), amount(least, most))
    .filter(([a, b]) => a !== b)
    .map(([a, b]) => ({ min: Math.min(a, b), max: Math.max(a, b) }))
const oneOf = <T>(...values: T[]) => fc.constantFrom(...values)
const whole = (min: number, max: number) => fc.integer({ min, max })
const some = (fields: Record<string, fc.Arbitrary<unknown>>, required: string[] = []) =>
  fc.record(fields, { requiredKeys: required }) as fc.Arbitrary<Said>
const both = (...parts: fc.Arbitrary<Said>[]): fc.Arbitrary<Said> =>
  fc.tuple(...parts).map((all) => Object.assign({}, ...all))

const pack = some({ packQuantity: whole(1, 500) })
const block = both(
  some({
    nominalVoltageV: amount(1, 60),
    chemistry: oneOf('agm', 'gel', 'lithium-iron-phosphate', 'lithium-ion', 'nickel-metal-hydride'),
    rechargeable: fc.boolean(),
    terminal: oneOf('F1', 'F2', 'M5', 'M6', 'bolt-and-nut'),
    flameRetardantCase: fc.constant(true),
  }),
  fc.oneof(
    some({ capacityAh: amount(0.01, 300) }),
    some({ capacityAh: amount(1, 300), dischargeHours: whole(1, 100) }, ['capacityAh']),
  ),
  fc.oneof(
    fc.constant({}),
    some({ lengthMm: amount(41, 400), widthMm: amount(5, 300), heightMm: amount(5, 300) }, [
      'lengthMm',
      'widthMm',
      'heightMm',
    ]),
    some(
      { lengthMm: amount(41, 400), widthMm: amount(5, 300), heightMm: amount(5, 300), caseHeightMm: amount(5, 300) },
      ['lengthMm', 'widthMm', 'heightMm', 'caseHeightMm'],
    ),
  ),
  pack,
)
const supply = both(
  some({
    inputVoltageV: fc.oneof(amount(90, 480), range(90, 480)),
    outputVoltageV: amount(1, 60),
    voltageKind: oneOf('ac', 'dc'),
    currentA: amount(0.001, 40),
    polarity: oneOf('center-plus', 'center-minus'),
    regulated: fc.boolean(),
  }),
  fc.oneof(
    some({ barrelInnerMm: amount(0.5, 5) }),
    some({ barrelInnerMm: amount(0.5, 3), barrelOuterMm: amount(3.1, 8) }, ['barrelInnerMm', 'barrelOuterMm']),
  ),
  pack,
)
const resistor = both(
  some({ resistanceOhm: amount(0.001, 9e7), powerW: amount(0.05, 200), toleranceFraction: amount(0.001, 0.3) }),
  pack,
)
const fuse = both(
  some({
    fuseSpeed: oneOf('FF', 'F', 'M', 'T', 'TT'),
    ratedCurrentA: amount(0.03, 63),
    breakingCapacity: oneOf('L', 'E', 'H'),
    voltageV: amount(10, 690),
  }),
  fc.oneof(some({ lengthMm: amount(5, 60) }), fc.constant({ sizeName: '5x20', diameterMm: 5, lengthMm: 20 })),
)
const cable = some({
  gaugeAwg: whole(10, 28),
  conductors: whole(1, 50),
  conductorForm: oneOf('stranded', 'solid'),
  shielded: fc.boolean(),
  sheathClass: oneOf('LSZH', 'plenum', 'riser'),
  lengthM: amount(0.1, 1000),
})
const sounder = both(
  some({
    supplyVoltageV: fc.oneof(amount(1, 60), range(1, 60)),
    currentA: amount(0.001, 5),
    ipRating: oneOf('IP65', 'IP44'),
  }),
  fc.oneof(
    some({ soundPressureDb: amount(40, 150) }),
    some({ soundPressureDb: amount(40, 150), soundDistanceM: amount(0.1, 10) }, ['soundPressureDb', 'soundDistanceM']),
  ),
)
const cell = both(some({ sizeName: oneOf('CR2032', 'LR6', '6LR61', 'ER14505', 'CR17345', 'LR44', 'FR6') }), pack)

const PARTS: [partClass: string, said: fc.Arbitrary<Said>][] = [
  ['part-class/vrla-battery-12v', block],
  ['part-class/plug-in-supply-dc', supply],
  ['part-class/end-of-line-resistor', resistor],
  ['part-class/fuse-cartridge', fuse],
  ['part-class/security-cable', cable],
  ['part-class/sounder', sounder],
  ['part-class/lithium-coin-cell', cell],
  ['part-class/radio-contact', some({ bandMHz: amount(1, 5999) })],
]

describe('what is printed reads back as the same', () => {
  test.each(PARTS)('%s', (partClass, said) => {
    const read = (text: string) => readAttributes(text, { partClass })
    fc.assert(
      fc.property(said, (given) => {
        const once = read(printAttributes(asAttributes(given)))
        expect(saidOf(once)).toMatchObject(given)
        const extra = once.attributes.filter(({ name }) => !(name in given))
        expect(extra.every(({ certainty }) => certainty === 'derived')).toBe(true)
        expect(once.residue).toEqual([])
        expect(saidOf(read(printAttributes(asAttributes(saidOf(once)))))).toEqual(saidOf(once))
      }),
      { numRuns: 1000 },
    )
  })
})

describe('another unit leaves the value', () => {
  const decimals = fc.integer({ min: 1, max: 99_999 }).map((value) => value / 100)
  const near = (a: unknown, b: unknown) => expect(Math.abs(Number(a) / Number(b) - 1)).toBeLessThan(1e-12)
  const written = (value: number) => value.toFixed(4)
  test.each([
    ['Ah', 'mAh', 1000, 'part-class/vrla-battery-12v', 'capacityAh'],
    ['A', 'mA', 1000, 'part-class/fuse-cartridge', 'ratedCurrentA'],
    ['mm', 'cm', 0.1, 'part-class/fuse-cartridge', 'lengthMm'],
    ['kohm', 'ohm', 1000, 'part-class/end-of-line-resistor', 'resistanceOhm'],
    ['m', 'cm', 100, 'part-class/security-cable', 'lengthM'],
    ['V', 'mV', 1000, 'part-class/vrla-battery-12v', 'nominalVoltageV'],
  ])('%s and %s', (unit, other, factor, partClass, name) => {
    fc.assert(
      fc.property(decimals, (value) => {
        const one = saidOf(readAttributes(`${written(value)} ${unit}`, { partClass }))[name]
        near(saidOf(readAttributes(`${written(value * factor)} ${other}`, { partClass }))[name], one)
        near(one, name === 'resistanceOhm' ? value * 1000 : value)
      }),
    )
  })
})

/** Pieces of titles, so that what is made at random meets the rules and not only their refusals. */
const PIECES =
  '12V 7.2Ah 7AH/20HR 151x65x94(100)mm T1AH250V 4K7 10K 1/4W 1/2AA CR123A AA x2 2x F1 NC N/C 22/4 50/60Hz 6-14VDC 230V/16V RJ11 6P4C 120dB @1m 2.200 1,200 1.234,5 Ω µA ½ ² × … " \' ( ) / - .. , . x X m M A W V lithium SLA siren fuse \u00e9 \u{1f50b} 23A 5x20 \ud800'.split(
    ' ',
  )
const messy = fc
  .array(
    fc.oneof(fc.constantFrom(...PIECES), fc.constantFrom(' ', '', '  '), fc.string({ unit: 'binary', maxLength: 3 })),
    { maxLength: 24 },
  )
  .map((pieces) => pieces.join(''))

/** Places are in the text, in order, the same or apart. */
function checkSpans(text: string, { attributes }: ReadText): void {
  const spans = attributes.map(({ span }) => span).sort((a, b) => a.start - b.start || a.end - b.end)
  spans.forEach(({ start, end }, index) => {
    const next = spans[index + 1]
    const isRight = start >= 0 && start < end && end <= text.length
    const isApart = !next || next.start >= end || (next.start === start && next.end === end)
    if (!isRight || !isApart) throw new Error(`spans of ${JSON.stringify(text)}: ${JSON.stringify(spans)}`)
  })
}

describe('any text at all', () => {
  test('reads without a fault, with places that lie in it and do not overlap; 100,000 texts', () => {
    let read = 0
    let attributes = 0
    fc.assert(
      fc.property(messy, fc.constantFrom(undefined, ...PARTS.map(([partClass]) => partClass)), (text, partClass) => {
        const found = readAttributes(text, partClass === undefined ? {} : { partClass })
        checkSpans(text, found)
        read++
        attributes += found.attributes.length
        for (const { certainty, name, rule } of found.attributes)
          if (
            certainty === 'ambiguous' &&
            !['cell-size', 'part-size'].includes(rule) &&
            !found.questions.some(({ attribute }) => attribute === name)
          )
            throw new Error(`${name} is ambiguous in ${JSON.stringify(text)} and nothing asks`)
        for (const { value } of found.attributes)
          if (typeof value === 'number' && !Number.isFinite(value))
            throw new Error(`not finite in ${JSON.stringify(text)}`)
      }),
      { numRuns: 100_000 },
    )
    console.info(`attribute text: ${read} made texts, ${attributes} attributes`)
    // Most pieces make no attribute together; a reader that read nothing would show here.
    expect(attributes).toBeGreaterThan(read / 4)
  }, 60_000)

  test.each([
    ['figures', '1'],
    ['figures and points', '1.'],
    ['blanks', ' '],
    ['multiplications', '1x'],
    ['slashes', '1/'],
    ['ranges', '1-2-'],
    ['brackets', '1x1x1('],
    ['letters', 'a'],
    ['model numbers', 'a1-'],
    ['units', '12V'],
    ['marks', 'T1A '],
    ['letter codes', '1M '],
    ['mains', '230V adapter '],
    ['cells', '2x AA '],
    ['surrogates', '\u{1f50b}'],
    ['expanding characters', '\ufdfa'],
  ])('takes time with the length only: %s', (_, piece) => {
    const time = (length: number) => {
      const text = piece.repeat(Math.ceil(length / piece.length))
      const start = performance.now()
      readAttributes(text)
      return performance.now() - start
    }
    const least = (length: number) => Math.min(time(length), time(length), time(length))
    time(1_000)
    const short = Math.max(1, least(5_000))
    // Eight times the length takes eight times the time; a square law would take 64 times.
    expect(least(40_000)).toBeLessThan(32 * short + 100)
  })
})

test('every row of the labelled titles is read the same with its words in the other case of its dashes and blanks', () => {
  const { rows } = JSON.parse(readFileSync('tests/reference/parts/attribute-parsing.json', 'utf8'))
  for (const { given } of rows) {
    const wide = given.text.replaceAll(' ', '\u00a0\u2009').replaceAll('-', '\u2013').replaceAll('x', '\u00d7')
    expect(saidOf(readAttributes(wide))).toEqual(saidOf(readAttributes(given.text)))
  }
})
