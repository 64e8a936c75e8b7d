import { interpolate } from '../quantities/interpolate.ts'

/** Rest voltage of a 12 V battery and its state of charge, as three sources print it. */
const TABLES = {
  'vented, trade association (as reported)': [
    [11.89, 0],
    [12.06, 0.25],
    [12.24, 0.5],
    [12.45, 0.75],
    [12.65, 1],
  ],
  'valve-regulated, a general maker (read)': [
    [10.5, 0],
    [11.75, 0.25],
    [12.2, 0.5],
    [12.55, 0.75],
    [12.8, 1],
  ],
  'vented, a magazine (read)': [
    [12.15, 0.25],
    [12.3, 0.5],
    [12.45, 0.75],
    [12.66, 1],
  ],
} as const

export interface ChargeByTable {
  table: string
  fraction: number
}

/**
 * State of charge of a lead-acid battery from its rest voltage, by each table that reaches there.
 *
 * linear between the printed rows; above the last row full, below the first row empty
 *
 * @param restVoltage12V - voltage at rest referred to six cells [V]
 * @validity charger and load off for at least 4 h, 15 to 30 degrees C. It tells charge, not capacity: a worn battery rests high too.
 * @source rest-voltage tables, each with its certainty in its name
 * @example chargeByRestVoltage(12.35)[0].fraction // 0.631
 */
export function chargeByRestVoltage(restVoltage12V: number): ChargeByTable[] {
  return Object.entries(TABLES).flatMap(([table, rows]) => {
    const [lowest, highest] = [rows[0]!, rows[rows.length - 1]!]
    if (restVoltage12V >= highest[0]) return [{ table, fraction: 1 }]
    if (restVoltage12V < lowest[0]) return lowest[1] === 0 ? [{ table, fraction: 0 }] : []
    return [{ table, fraction: interpolate(rows, restVoltage12V)! }]
  })
}
