import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import {
  COPPER_CLAD_OHM_MM2_PER_M,
  COPPER_OHM_MM2_PER_M,
  copperTemperatureFactor,
  gaugeNumber,
  IEC_60228_LIMITS,
  ohmPerKm,
  wireAreaMm2,
  wireDiameterMm,
} from '../../../src/domain/circuits/wire.ts'
import { loadVoltage, wireRun } from '../../../src/domain/circuits/wire-run.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/circuits/wires.json')
afterAll(() => printed.report('wires'))
const row = (id: string) => printed.row(`circuits-w-${id}`)
const FEET_PER_KM = 1000 / 0.3048
const perKft = (ohmKm: number) => (ohmKm * 1000) / FEET_PER_KM

describe('published and analytic values', () => {
  test('resistance of gauges at 20 degrees C; gauge 29 of the table is one unit off its own law', () => {
    for (const awg of [10, 14, 17, 18, 20, 22, 24, 28]) {
      const { expected } = row(`awg${awg}`)
      printed.agrees(
        `circuits-w-awg${awg}`,
        perKft(ohmPerKm({ areaMm2: wireAreaMm2(awg) }, 20)),
        expected.resistanceOhmPerKft,
      )
    }
    expect(perKft(ohmPerKm({ areaMm2: wireAreaMm2(29) }, 20))).toBeCloseTo(
      Number(row('awg29').expected.resistanceOhmPerKft),
      1,
    )
  })

  test('drop to a siren, and the longest run to a device', () => {
    const ofRow = ({ supplyVoltageV, currentA, resistanceOhmPerKm }: Record<string, number>) => ({
      supplyV: supplyVoltageV!,
      currentA: currentA!,
      areaMm2: (1000 * COPPER_OHM_MM2_PER_M) / resistanceOhmPerKm!,
    })
    for (const id of ['load-02', 'load-04']) {
      const { given, expected } = printed.row(id)
      const { drop } = wireRun({ ...ofRow(given), lengthM: given.oneWayLengthM })
      printed.agrees(id, drop!.dropV, expected.dropV)
      printed.agrees(id, drop!.loadV, expected.deviceVoltageV)
    }
    const { given, expected } = printed.row('load-03')
    const dropFraction = 1 - given.minimumDeviceVoltageV / given.supplyVoltageV
    printed.agrees('load-03', wireRun({ ...ofRow(given), dropFraction }).longestRunM!, expected.maximumLengthM)
  })

  test('diameter and area', () => {
    for (const awg of [18, 22, 24]) {
      printed.agrees(`circuits-w-d${awg}`, wireDiameterMm(awg), row(`d${awg}`).expected.diameterMm)
      printed.agrees(`circuits-w-d${awg}`, wireAreaMm2(awg), row(`d${awg}`).expected.areaMm2)
    }
  })

  test('temperature and materials', () => {
    printed.agrees('circuits-w-hot', copperTemperatureFactor(60), row('hot').expected.factor)
    printed.agrees(
      'circuits-w-cca',
      COPPER_CLAD_OHM_MM2_PER_M / COPPER_OHM_MM2_PER_M,
      row('cca').expected.ratioToCopper,
    )
    const at25 = perKft(ohmPerKm({ areaMm2: wireAreaMm2(22) }, row('n6are').given.temperatureC))
    printed.agrees('circuits-w-n6are', at25, row('n6are').expected.resistanceOhmPerKft)
    const { resistanceOhmPerKft, fromC } = row('nect').given
    printed.agrees(
      'circuits-w-nect',
      resistanceOhmPerKft / copperTemperatureFactor(fromC),
      row('nect').expected.resistanceOhmPerKft,
    )
    const catLoop = (2 * 100 * ohmPerKm({ areaMm2: wireAreaMm2(24) }, 20)) / 1000
    printed.agrees('circuits-w-cat', catLoop, row('cat').expected.awg24LawLoopOhm)
  })

  test("a code's table at 75 degrees C is met within half a per cent, stranded within two", () => {
    for (const [id, share] of [
      ['nec18s', 0.005],
      ['nec16s', 0.005],
      ['nec12s', 0.005],
      ['nec18st', 0.02],
      ['nec14st', 0.02],
    ] as const) {
      const { given, expected } = row(id)
      const law = ohmPerKm({ areaMm2: wireAreaMm2(given.awg), isStranded: given.strands > 1 }, given.temperatureC)
      expect(Math.abs(law / Number(expected.resistanceOhmPerKm) - 1), id).toBeLessThan(share)
    }
  })

  test('limits of IEC 60228', () => {
    const limit = (kind: keyof typeof IEC_60228_LIMITS, area: number) =>
      IEC_60228_LIMITS[kind].find(([nominal]) => nominal === area)![1]
    for (const id of ['iec0.5', 'iec0.75', 'iec1', 'iec2.5'])
      printed.agrees(
        `circuits-w-${id}`,
        limit('solid-or-stranded', row(id).given.nominalAreaMm2),
        row(id).expected.maxResistanceOhmPerKm,
      )
    row('iec5').given.nominalAreaMm2.forEach((area: number, index: number) =>
      printed.agrees('circuits-w-iec5', limit('flexible', area), row('iec5').expected.maxResistanceOhmPerKm[index]),
    )
  })

  test('drop, longest run and a regulated load', () => {
    const drop1 = row('drop1')
    const run = wireRun({ supplyV: 12, currentA: 0.5, lengthM: 60, awg: '22' })
    printed.agrees('circuits-w-drop1', run.drop!.dropV, drop1.expected.dropV)
    printed.agrees('circuits-w-drop1', run.drop!.loadV, drop1.expected.loadV)
    printed.agrees('circuits-w-drop1', 100 * run.drop!.dropFraction, drop1.expected.dropPercent)
    const longest = wireRun({ supplyV: 12, currentA: 0.35, awg: '18', dropFraction: 0.1 })
    printed.agrees('circuits-w-len', longest.longestRunM!, row('len').expected.oneWayLengthM)
    const regulated = wireRun({ supplyV: 12, powerW: 6, lengthM: 60, awg: '18' })
    printed.agrees('circuits-w-cp2', regulated.loopOhm!, row('cp2').expected.loopOhm)
    printed.agrees('circuits-w-cp2', regulated.drop!.loadV, row('cp2').expected.loadV)
    printed.agrees('circuits-w-cp2', regulated.drop!.currentA, row('cp2').expected.currentA)
  })
})

const run = fc.record({
  supplyV: fc.double({ min: 5, max: 30, noNaN: true }),
  currentA: fc.double({ min: 0.01, max: 3, noNaN: true }),
  lengthM: fc.double({ min: 1, max: 300, noNaN: true }),
  temperatureC: fc.double({ min: -20, max: 70, noNaN: true }),
  dropFraction: fc.double({ min: 0.02, max: 0.3, noNaN: true }),
})

test('forward and inverse agree: the longest run of a wire loses just what is allowed', () => {
  fc.assert(
    fc.property(run, fc.integer({ min: 10, max: 28 }), (one, awg) => {
      const { longestRunM } = wireRun({ ...one, awg: String(awg) })
      const { drop } = wireRun({ ...one, lengthM: longestRunM!, awg: String(awg) })
      expect(drop!.dropFraction).toBeCloseTo(one.dropFraction, 9)
    }),
  )
})

test('the smallest gauge keeps the drop and the next thinner one does not', () => {
  fc.assert(
    fc.property(run, (one) => {
      const { smallestAwg, smallestAreaMm2 } = wireRun(one)
      if (smallestAwg === undefined || smallestAreaMm2! < 0.002) return
      expect(wireRun({ ...one, awg: smallestAwg }).drop!.dropFraction).toBeLessThanOrEqual(one.dropFraction + 1e-12)
      expect(wireRun({ ...one, areaMm2: smallestAreaMm2! }).drop!.dropFraction).toBeCloseTo(one.dropFraction, 9)
      const thinner = gaugeNumber(smallestAwg) + 1
      if (thinner >= 1 && thinner <= 40)
        expect(wireRun({ ...one, awg: String(thinner) }).drop!.dropFraction).toBeGreaterThan(one.dropFraction)
    }),
  )
})

test('a regulated load that the wire cannot feed collapses instead of giving a number', () => {
  expect(loadVoltage(12, 10, { powerW: 6 })).toBeUndefined()
  const { collapses, drop, warnings } = wireRun({ supplyV: 12, powerW: 60, lengthM: 100, awg: '24' })
  expect([collapses, drop]).toEqual([true, undefined])
  expect(warnings.map(({ code }) => code)).toContain('SUPPLY_FOLDS')
})

test('gauges of several noughts are not one', () => {
  expect(wireAreaMm2(gaugeNumber('00')) / wireAreaMm2(gaugeNumber('0'))).toBeCloseTo(92 ** (2 / 39), 12)
  expect(() => gaugeNumber('41')).toThrow(expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }))
})

test('every mistake is named at once', () => {
  try {
    wireRun({ supplyV: -1, currentA: 1, powerW: 1, awg: '99' })
    expect.unreachable()
  } catch (error) {
    const all = [error, ...(error as { also: unknown[] }).also] as { detail: { path: string } }[]
    expect(all.map(({ detail }) => detail.path)).toEqual(['/supply', '/wire/awg', '/current'])
  }
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
