import { afterAll, describe, expect, test } from 'vitest'
import { exactly, parallel } from '../../../src/domain/circuits/interval.ts'
import { rawDcV, rippleV, secondaryNeeded } from '../../../src/domain/circuits/rectifier.ts'
import { analyseSounder, type SounderState } from '../../../src/domain/circuits/sounder.ts'
import { checkSupply, class2LimitVA, regulationFraction } from '../../../src/domain/circuits/supply-check.ts'
import { wireRun } from '../../../src/domain/circuits/wire-run.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/circuits/sounder.json')
const supplies = new PrintedValues('tests/reference/circuits/supplies.json')
afterAll(() => {
  printed.report('sounder circuits')
  supplies.report('supplies')
})
const row = (id: string) => printed.row(`circuits-${id}`)
const HORN = { kind: 'parallel' as const, sounderOhm: 60, endOfLineOhm: 2200, wireOhm: 3, toleranceFraction: 0 }
const middle = (input: Parameters<typeof analyseSounder>[0], state: SounderState) => {
  const { low, high } = analyseSounder(input).readings.find((entry) => entry.state === state)!.ohm!
  return high === low ? low : (low + high) / 2
}

describe('sounder circuits: published and analytic values', () => {
  test('readings of each state', () => {
    const { expected } = row('s09')
    printed.agrees('circuits-s09', middle(HORN, 'sounder-missing'), expected.sounderMissingOhm)
    printed.agrees('circuits-s09', middle(HORN, 'part-missing'), expected.partMissingOhm)
    printed.agrees('circuits-s09', middle(HORN, 'short-at-far-end'), expected.shortAtFarEndOhm)
    printed.agrees('circuits-s09', middle(HORN, 'short-at-panel'), expected.shortAtPanelOhm)
    expect(middle(HORN, 'wire-cut')).toBe(Number.POSITIVE_INFINITY)
    const good = analyseSounder(HORN).readings[0]!.ohm!
    expect(good.low).toBeLessThan(Number(expected.allGoodOhm))
    expect(good.high).toBeGreaterThan(Number(expected.allGoodOhm))
  })

  test('current, drop and power in alarm', () => {
    const speakers = analyseSounder({ kind: 'bare', sounderOhm: 8, sounders: 2, driveVoltageV: 12 })
    printed.agrees('circuits-s03', speakers.inAlarm!.currentA, row('s03').expected.currentA)
    const { loopOhm } = wireRun({ supplyV: 12, currentA: 1.2, lengthM: 30, awg: '22' })
    const siren = analyseSounder({ ...HORN, wireOhm: loopOhm!, sounderCurrentA: 1.2, driveVoltageV: 12 })
    printed.agrees('circuits-s04', siren.inAlarm!.dropV!, row('s04').expected.dropV)
    printed.agrees('circuits-s04', siren.inAlarm!.sounderV!, row('s04').expected.sirenV)
    const part = analyseSounder({ ...HORN, driveVoltageV: 13.8 })
    printed.agrees('circuits-s06', part.inAlarm!.partPowerW!, row('s06').expected.powerW)
  })
})

test('a speaker hides its end-of-line part', () => {
  const { given, expected } = row('s01')
  printed.agrees(
    'circuits-s01',
    parallel(exactly(given.speakerDcOhm), exactly(given.endOfLineOhm)).low,
    expected.parallelOhm,
  )
})

test('the longest run for a drop to two sirens', () => {
  const { supplyV, dropFraction, currentA, awg } = row('s10').given
  const { longestRunM } = wireRun({ supplyV, dropFraction, currentA, awg: String(awg) })
  printed.agrees('circuits-s10', longestRunM!, row('s10').expected.oneWayLengthM)
})

describe('a siren reading', () => {
  test('with a horn connected cannot tell whether the part is there', () => {
    const { classification, warnings } = analyseSounder({
      ...HORN,
      sounderOhm: 6.4,
      measured: { ohm: 9.4, boundAbsolute: 0.3 },
    })
    expect(classification).toMatchObject({
      verdict: 'cannot-tell',
      possible: expect.arrayContaining(['all-good', 'part-missing']),
    })
    expect(warnings.map(({ code }) => code)).toContain('SOUNDER_HIDES_PART')
  })

  test('of the part alone says that the sounder is missing', () => {
    const { classification } = analyseSounder({ ...HORN, measured: { ohm: 2203, boundAbsolute: 30 } })
    expect(classification!.possible).toEqual(['sounder-missing'])
  })

  test('of an electronic siren is not judged by ohms', () => {
    const { classification, warnings } = analyseSounder({
      kind: 'parallel',
      endOfLineOhm: 2200,
      measured: { ohm: 900, boundAbsolute: 10 },
    })
    expect(classification!.possible).toEqual(['all-good', 'part-missing'])
    expect(warnings.map(({ code }) => code)).toContain('ELECTRONIC_SIREN')
  })

  test('over the limit of the output is called an overload', () => {
    const { inAlarm, warnings } = analyseSounder({
      ...HORN,
      sounderCurrentA: 0.9,
      sounders: 2,
      driveVoltageV: 12,
      outputLimitA: 1.5,
    })
    expect(inAlarm!.isOverload).toBe(true)
    expect(warnings.map(({ code }) => code)).toContain('OUTPUT_OVERLOADED')
  })
})

describe('supplies: published and analytic values', () => {
  test('what a rectifier asks of its transformer', () => {
    for (const id of ['va-01', 'va-02', 'va-03']) {
      const { given, expected } = supplies.row(id)
      const { rectifier, hasCapacitor, outputVoltageV, outputCurrentA } = given
      const needed = secondaryNeeded(rectifier, hasCapacitor, outputVoltageV, outputCurrentA)
      supplies.agrees(id, needed.voltageV, expected.secondaryVoltageV)
      supplies.agrees(id, needed.currentA, expected.secondaryCurrentA)
      if (expected.apparentPowerVA) supplies.agrees(id, needed.apparentPowerVA, expected.apparentPowerVA)
    }
  })

  test('the direct current that a nameplate leaves', () => {
    const { given, expected } = supplies.row('va-04')
    expected.dcCurrentA.forEach((printedA: string, index: number) => {
      const nameplate = { ratedV: given.nameplateVoltageV[index], ratedVA: given.nameplateVA[index] }
      supplies.agrees('va-04', checkSupply({ kind: 'ac', ...nameplate }).dcAvailableA!, printedA)
    })
  })

  test('the most that a class 2 nameplate may state', () => {
    supplies.agrees('circuits-a06', class2LimitVA(16.5)!, supplies.row('circuits-a06').expected.maxNameplateVa)
    const { maxVrms, maxVa } = supplies.row('circuits-a05').expected
    supplies.agrees('circuits-a05', class2LimitVA(Number(maxVrms))!, maxVa)
    expect(class2LimitVA(Number(maxVrms) + 0.1)).toBeUndefined()
    const codes = checkSupply({ kind: 'ac', ratedV: 16.5, ratedVA: 90 }).warnings.map(({ code }) => code)
    expect(codes).toContain('NOT_CLASS_2')
  })

  test('the voltage on the capacitor and its ripple', () => {
    supplies.agrees('circuits-a04', rawDcV('bridge', 16.5), supplies.row('circuits-a04').expected.peakV)
    const { given, expected } = supplies.row('va-05')
    supplies.agrees('va-05', rawDcV('bridge', given.nameplateVoltageV), expected.rawVoltageLoadedV)
    supplies.agrees('va-05', rawDcV('bridge', Number(expected.openCircuitAcV)), expected.rawVoltageOpenV)
    for (const id of ['va-06', 'va-07']) {
      const { loadCurrentA, mainsFrequencyHz, capacitanceUF } = supplies.row(id).given
      const ripple = rippleV('bridge', loadCurrentA, mainsFrequencyHz, capacitanceUF)
      supplies.agrees(id, ripple, supplies.row(id).expected.rippleVoltageV)
    }
  })

  test('an auxiliary output in standby and in alarm', () => {
    const { given, expected } = supplies.row('load-01')
    const loads = given.devices.map((device: Record<string, number>) => ({
      quantity: device.quantity,
      currentA: device.standbyCurrentA,
      alarmCurrentA: device.alarmCurrentA,
    }))
    const { auxiliary } = checkSupply({ kind: 'ac', ratedV: 16.5, auxiliary: { ratedA: given.auxiliaryLimitA, loads } })
    supplies.agrees('load-01', auxiliary!.loadA, expected.standbyTotalA)
    supplies.agrees('load-01', auxiliary!.alarmA, expected.alarmTotalA)
    expect(auxiliary!.isOverload).toBe(true)
  })

  test('regulation, and the demand behind a rectifier', () => {
    const { noLoadV, fullLoadV } = supplies.row('circuits-a01').given
    supplies.agrees(
      'circuits-a01',
      100 * regulationFraction(noLoadV, fullLoadV),
      supplies.row('circuits-a01').expected.regulationPercent,
    )
    const { expected } = supplies.row('circuits-a09')
    const { demand } = checkSupply({ kind: 'ac', ratedV: 16.5, ratedVA: 40, loadCurrentA: 1.3 })
    supplies.agrees('circuits-a09', demand!.acCurrentA, expected.acA)
    supplies.agrees('circuits-a09', demand!.apparentPowerVA, expected.va)
    supplies.agrees('circuits-a09', demand!.fractionOfRating!, expected.fractionOf40Va)
  })

  test('an open reading of a small transformer above its nameplate is within what is expected', () => {
    const { openV } = checkSupply({ kind: 'ac', ratedV: 16.5 }).expected
    expect(Number(supplies.row('circuits-a02').expected.openV)).toBeGreaterThan(openV.low)
    expect(Number(supplies.row('circuits-a02').expected.openV)).toBeLessThan(openV.high)
  })
})

describe('a supply', () => {
  const ac = { kind: 'ac' as const, ratedV: 16.5, ratedVA: 40 }
  test.each([
    ['right open and under load', { openV: 18.5, loadedV: 16.2 }, 'sound'],
    ['nothing open', { openV: 0.3 }, 'dead'],
    ['right open, collapsed when joined', { openV: 18.5, loadedV: 3 }, 'overloaded-or-shorted'],
    ['low under load', { openV: 17, loadedV: 13 }, 'weak'],
    ['read open only', { openV: 18.5 }, 'cannot-tell'],
    ['read on the wrong range', { openV: 30, meterRange: 'dc' as const }, 'wrong-range'],
  ])('%s', (_, readings, verdict) => {
    expect(checkSupply({ ...ac, ...readings }).verdict).toBe(verdict)
  })

  test('that reads like mains is refused with a stop', () => {
    expect(() => checkSupply({ ...ac, openV: 121 })).toThrow(/stop, that may be mains/)
  })

  test('with too much on its auxiliary output says by how much', () => {
    const { auxiliary, warnings } = checkSupply({
      ...ac,
      auxiliary: {
        ratedA: 0.6,
        loads: [
          { quantity: 5, currentA: 0.11 },
          { quantity: 1, currentA: 0.2 },
        ],
      },
    })
    expect(auxiliary!.leftA).toBeCloseTo(-0.15, 12)
    expect(warnings.map(({ code }) => code)).toContain('AUXILIARY_OVERLOADED')
  })
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
  expect(supplies.unread()).toEqual([])
})
