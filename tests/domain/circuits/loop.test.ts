import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { dividerVoltage, exactly, loopResistance, toleranced } from '../../../src/domain/circuits/interval.ts'
import { analyseLoop, type LoopInput, type LoopState, leakageDownTo } from '../../../src/domain/circuits/loop.ts'
import { ohmPerKm, wireAreaMm2 } from '../../../src/domain/circuits/wire.ts'
import { wireRun } from '../../../src/domain/circuits/wire-run.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/circuits/loop.json')
afterAll(() => printed.report('loops'))
const row = (id: string) => printed.row(`circuits-${id}`)
const SINGLE: LoopInput = { scheme: 'single', contact: 'normally-closed', endOfLineOhm: 4700, toleranceFraction: 0 }
const voltsOf = (input: LoopInput, state: LoopState) =>
  analyseLoop({ pullUpToleranceFraction: 0, ...input }).states.find((entry) => entry.state === state)!.voltage!.low

describe('published and analytic values', () => {
  test('terminal voltage and its inverse', () => {
    printed.agrees(
      'circuits-l01',
      dividerVoltage(exactly(10), exactly(4700), exactly(4740)).low,
      row('l01').expected.terminalV,
    )
    printed.agrees(
      'circuits-l02',
      loopResistance(exactly(5.5), exactly(10), exactly(4700)).low,
      row('l02').expected.loopOhm,
    )
    const { supplyV, pullUpOhm, terminalV } = row('l26').given
    expect(loopResistance(exactly(terminalV), exactly(supplyV), exactly(pullUpOhm)).high).toBe(Number.POSITIVE_INFINITY)
  })

  test('states of double and triple end-of-line loops', () => {
    const double: LoopInput = { ...SINGLE, scheme: 'double-series', alarmOhm: 4700, supplyV: 10, pullUpOhm: 4700 }
    for (const state of ['short', 'normal', 'alarm', 'open'] as const)
      printed.agrees('circuits-l03', voltsOf(double, state), row('l03').expected[`${state}V`])
    const triple: LoopInput = {
      ...double,
      scheme: 'triple',
      endOfLineOhm: 1000,
      alarmOhm: 1000,
      faultOhm: 3000,
      pullUpOhm: 2200,
    }
    printed.agrees('circuits-l05', voltsOf(triple, 'normal'), row('l05').expected.normalV)
    printed.agrees('circuits-l05', voltsOf(triple, 'alarm'), row('l05').expected.alarmV)
    printed.agrees('circuits-l05', voltsOf(triple, 'fault'), row('l05').expected.faultV)
    printed.agrees('circuits-l05', voltsOf(triple, 'alarm-and-fault'), row('l05').expected.alarmAndFaultV)
  })

  test('threshold at the geometric mean, reserves of wire and leakage', () => {
    const { boundaries } = analyseLoop({ ...SINGLE, scheme: 'double-series', alarmOhm: 4700 })
    const between = boundaries.find(({ below }) => below === 'normal')!
    printed.agrees('circuits-l07', between.thresholdOhm, row('l07').expected.thresholdOhm)
    printed.agrees('circuits-l07', between.ratioMargin, row('l07').expected.ratioMargin)
    const { largestSeriesOhm } = analyseLoop({ ...SINGLE, toleranceFraction: 0.05, thresholdsOhm: [3760, 5640] })
    printed.agrees('circuits-l08', largestSeriesOhm!, row('l08').expected.allowedSeriesOhm)
    printed.agrees('circuits-l10', leakageDownTo(6646.8, 9400), row('l10').expected.maxMaskingLeakageOhm)
  })

  test('a reading with every error in it', () => {
    const bound = (5.02 * 0.5) / 100 + 2 * 0.01
    const ohm = loopResistance(
      { low: 5.02 - bound, high: 5.02 + bound },
      { low: 9.8, high: 10.2 },
      { low: 4653, high: 4747 },
    )
    printed.agrees('circuits-l20', ohm.low, row('l20').expected.lowOhm)
    printed.agrees('circuits-l20', ohm.high, row('l20').expected.highOhm)
  })

  test('a voltage below nothing is refused as reversed leads', () => {
    const { supplyV, pullUpOhm, terminalV } = row('l28').given
    expect(() => loopResistance(exactly(terminalV), exactly(supplyV), exactly(pullUpOhm))).toThrow(/reversed/)
  })

  test('the wrong part may read normal or not: its range crosses the window', () => {
    const { given, expected } = row('l25')
    const fitted = toleranced(given.fittedOhm, given.partTolerancePercent / 100)
    printed.agrees('circuits-l25', fitted.low, expected.fittedRangeOhm[0])
    printed.agrees('circuits-l25', fitted.high, expected.fittedRangeOhm[1])
    const possible = [fitted.low, fitted.high].map(
      (value) =>
        analyseLoop({
          ...SINGLE,
          toleranceFraction: given.windowFraction,
          measured: { value, unit: 'Ohm', boundAbsolute: 0 },
        }).classification!.possible,
    )
    expect(possible).toEqual([['normal'], []])
  })

  test('an end-of-line part at the panel hides a cut wire, and the answer says so', () => {
    const { warnings } = analyseLoop({
      ...SINGLE,
      endOfLineOhm: row('l12').given.endOfLineOhm,
      contact: 'normally-open',
    })
    expect(warnings.map(({ code }) => code)).toContain('PART_MUST_BE_AT_THE_END')
  })

  test('a closed loop without a part reads the same when shorted', () => {
    expect(row('l22').expected.distinct).toBe('no')
    const { states } = analyseLoop({ scheme: 'none', contact: 'normally-closed' })
    const ohmOf = (state: LoopState) => states.find((entry) => entry.state === state)?.ohm
    expect(ohmOf('normal')).toEqual({ low: 0, high: 0 })
    expect(ohmOf('short') ?? ohmOf('normal')).toEqual(ohmOf('normal'))
  })

  test('wire and contacts add up, and a limit on the loop limits the run', () => {
    const { given, expected } = row('l23')
    const { loopOhm } = wireRun({ supplyV: 12, currentA: 0.01, lengthM: given.oneWayLengthM, awg: String(given.awg) })
    const contacts = given.contacts * given.contactOhm
    const { states } = analyseLoop({
      scheme: 'none',
      contact: 'normally-closed',
      wireOhm: loopOhm!,
      contactOhm: contacts,
    })
    printed.agrees('circuits-l23', states.find(({ state }) => state === 'normal')!.ohm.high, expected.loopOhm)
    for (const id of ['l13', 'l15']) {
      const { awg, loopLimitOhm, temperatureC } = row(id).given
      const metres = (1000 * loopLimitOhm) / (2 * ohmPerKm({ areaMm2: wireAreaMm2(awg) }, temperatureC))
      printed.agrees(`circuits-${id}`, metres, row(id).expected.oneWayLengthM)
    }
  })
})

const scheme = fc.constantFrom('single', 'double-series', 'double-parallel', 'triple') as fc.Arbitrary<
  LoopInput['scheme']
>
const loop = fc.record({
  scheme,
  contact: fc.constantFrom('normally-closed', 'normally-open') as fc.Arbitrary<LoopInput['contact']>,
  endOfLineOhm: fc.integer({ min: 500, max: 20_000 }),
  alarmOhm: fc.integer({ min: 500, max: 20_000 }),
  faultOhm: fc.integer({ min: 500, max: 20_000 }),
  toleranceFraction: fc.double({ min: 0, max: 0.1, noNaN: true }),
  wireOhm: fc.double({ min: 0, max: 200, noNaN: true }),
  leakageOhm: fc.double({ min: 1000, max: 1e6, noNaN: true }),
})

describe('what the intervals allow', () => {
  test('is always among what is claimed: a true state within tolerance is never left out', () => {
    fc.assert(
      fc.property(loop, fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(), (input, place, which) => {
        const { states } = analyseLoop(input)
        const state = states[which % states.length]!
        const high = Math.min(state.ohm.high, 1e8)
        const low = Math.min(state.ohm.low, 1e8)
        const value = low + place * (high - low)
        const { classification } = analyseLoop({
          ...input,
          measured: { value, unit: 'Ohm', boundAbsolute: value * 0.01 + 1e-9 },
        })
        expect(classification!.possible).toContain(state.state)
      }),
      { numRuns: 300 },
    )
  })

  test('never shrinks when the tolerance grows', () => {
    fc.assert(
      fc.property(loop, (input) => {
        const [narrow, wide] = [
          analyseLoop(input),
          analyseLoop({ ...input, toleranceFraction: input.toleranceFraction + 0.05 }),
        ]
        for (const state of narrow.states) {
          const wider = wide.states.find((entry) => entry.state === state.state)!
          expect(wider.ohm.low).toBeLessThanOrEqual(state.ohm.low + 1e-9)
          expect(wider.ohm.high).toBeGreaterThanOrEqual(state.ohm.high * (1 - 1e-12))
        }
      }),
    )
  })

  test('scales with all resistances together', () => {
    fc.assert(
      fc.property(loop, (input) => {
        const scaled = analyseLoop({
          ...input,
          endOfLineOhm: 3 * input.endOfLineOhm,
          alarmOhm: 3 * input.alarmOhm,
          faultOhm: 3 * input.faultOhm,
          wireOhm: 3 * input.wireOhm,
          leakageOhm: 3 * input.leakageOhm,
        })
        analyseLoop(input).states.forEach((state, index) => {
          if (Number.isFinite(state.ohm.high)) expect(scaled.states[index]!.ohm.high).toBeCloseTo(3 * state.ohm.high, 6)
        })
      }),
    )
  })
})

test('leakage that hides an alarm is reported before it shows as trouble', () => {
  const { alarmMaskedBelowOhm, smallestLeakageOhm } = analyseLoop({
    ...SINGLE,
    scheme: 'double-series',
    alarmOhm: 4700,
  })
  expect(alarmMaskedBelowOhm!).toBeGreaterThan(smallestLeakageOhm!)
})

test('a loop without part is said not to be supervised, one of equal parts not to tell alarm from fault', () => {
  const codes = (input: LoopInput) => analyseLoop(input).warnings.map(({ code }) => code)
  expect(codes({ scheme: 'none', contact: 'normally-closed' })).toContain('NOT_SUPERVISED')
  expect(codes({ ...SINGLE, scheme: 'triple', alarmOhm: 1000, faultOhm: 1000 })).toContain('PARTS_EQUAL')
})

test('a scheme without its parts is refused, each part named', () => {
  try {
    analyseLoop({ scheme: 'triple', contact: 'normally-closed' })
    expect.unreachable()
  } catch (error) {
    const all = [error, ...(error as { also: unknown[] }).also] as { detail: { path: string } }[]
    expect(all.map(({ detail }) => detail.path)).toEqual(['/endOfLine', '/alarmPart', '/faultPart'])
  }
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
