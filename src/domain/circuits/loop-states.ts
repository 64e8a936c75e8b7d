import { dividerVoltage, exactly, type Interval, OPEN, parallel, series, toleranced } from './interval.ts'
import type { LoopInput, LoopState, StateRange } from './loop-types.ts'

interface Parts {
  end: Interval
  alarm: Interval
  fault: Interval
}

function partsOf({ endOfLineOhm = 0, alarmOhm = 0, faultOhm = 0, toleranceFraction = 0.05 }: LoopInput): Parts {
  const part = (ohm: number) => toleranced(ohm, toleranceFraction)
  return { end: part(endOfLineOhm), alarm: part(alarmOhm), fault: part(faultOhm) }
}

const ZERO = exactly(0)
type Row = [state: LoopState, meaning: string, field: Interval]

/** Resistance of the field parts in each state, before wire and leakage. */
function fieldStates({ scheme, contact }: LoopInput, { end, alarm, fault }: Parts): Row[] {
  const isClosed = contact === 'normally-closed'
  switch (scheme) {
    case 'none':
      return isClosed
        ? [
            ['normal', 'contact closed; a short looks the same', ZERO],
            ['open', 'contact open: alarm; a cut wire looks the same', OPEN],
          ]
        : [
            ['short', 'contact closed: alarm; a short looks the same', ZERO],
            ['normal', 'contact open; a cut wire looks the same', OPEN],
          ]
    case 'single':
      return isClosed
        ? [
            ['short', 'wires touch: trouble or alarm by programming', ZERO],
            ['normal', 'contact closed, part seen', end],
            ['open', 'contact open: alarm; a cut wire looks the same', OPEN],
          ]
        : [
            ['short', 'contact closed: alarm; touching wires look the same', ZERO],
            ['normal', 'contact open, part seen', end],
            ['open', 'wire cut: trouble', OPEN],
          ]
    case 'double-series':
      return [
        ['short', 'wires touch: tamper', ZERO],
        ['normal', 'contact closed, end part seen', end],
        ['alarm', 'contact open, both parts seen', series(end, alarm)],
        ['open', 'wire cut: tamper', OPEN],
      ]
    case 'double-parallel':
      return [
        ['short', 'wires touch: tamper', ZERO],
        ['alarm', 'contact closed, both parts side by side', parallel(end, alarm)],
        ['normal', 'contact open, end part seen', end],
        ['open', 'wire cut: tamper', OPEN],
      ]
    case 'triple':
      return [
        ['short', 'wires touch: tamper', ZERO],
        ['normal', 'end part seen', end],
        ['alarm', 'alarm contact open', series(end, alarm)],
        ['fault', 'fault or mask contact open', series(end, fault)],
        ['alarm-and-fault', 'both contacts open', series(end, alarm, fault)],
        ['open', 'wire cut: tamper', OPEN],
      ]
  }
}

/** Wire and contacts in series, leakage across all of it at the panel. */
export function seenFromPanel(field: Interval, seriesOhm: number, leakageOhm: number | undefined): Interval {
  const inSeries = series(field, exactly(seriesOhm))
  return leakageOhm === undefined ? inSeries : parallel(inSeries, exactly(leakageOhm))
}

/** Every state of a loop with its resistance, and its terminal voltage where supply and pull-up are known; lowest first. */
export function loopStates(input: LoopInput): StateRange[] {
  const { wireOhm = 0, contactOhm = 0, leakageOhm, supplyV, pullUpOhm } = input
  const rows = fieldStates(input, partsOf(input))
  return rows
    .map(([state, meaning, field]) => {
      // A short may lie anywhere along the wire; contacts beyond it are not seen.
      const ohm =
        state === 'short'
          ? { low: 0, high: seenFromPanel(ZERO, wireOhm, leakageOhm).high }
          : seenFromPanel(field, wireOhm + contactOhm, leakageOhm)
      if (supplyV === undefined || pullUpOhm === undefined) return { state, meaning, ohm }
      const supply = toleranced(supplyV, input.supplyToleranceFraction ?? 0)
      const pullUp = toleranced(pullUpOhm, input.pullUpToleranceFraction ?? 0.01)
      return { state, meaning, ohm, voltage: dividerVoltage(supply, pullUp, ohm) }
    })
    .sort((a, b) => a.ohm.low - b.ohm.low || a.ohm.high - b.ohm.high)
}
