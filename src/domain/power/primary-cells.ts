/** A primary cell by its IEC 60086 designation; capacities are typical, not guaranteed: judgement from common practice. */
export interface PrimaryCell {
  designation: string
  commonName?: string
  system: 'lithium-manganese' | 'lithium-thionyl' | 'alkaline' | 'lithium-iron'
  nominalVoltageV: number
  capacityMAh: readonly [low: number, high: number]
}

export const PRIMARY_CELLS: readonly PrimaryCell[] = [
  {
    designation: 'CR17345',
    commonName: 'CR123A',
    system: 'lithium-manganese',
    nominalVoltageV: 3,
    capacityMAh: [1400, 1600],
  },
  {
    designation: 'CR15H270',
    commonName: 'CR2',
    system: 'lithium-manganese',
    nominalVoltageV: 3,
    capacityMAh: [750, 900],
  },
  { designation: 'CR2032', system: 'lithium-manganese', nominalVoltageV: 3, capacityMAh: [210, 240] },
  { designation: 'CR2430', system: 'lithium-manganese', nominalVoltageV: 3, capacityMAh: [270, 300] },
  { designation: 'CR2450', system: 'lithium-manganese', nominalVoltageV: 3, capacityMAh: [540, 620] },
  { designation: 'CR2477', system: 'lithium-manganese', nominalVoltageV: 3, capacityMAh: [900, 1000] },
  { designation: 'CR-P2', system: 'lithium-manganese', nominalVoltageV: 6, capacityMAh: [1400, 1600] },
  { designation: '2CR5', system: 'lithium-manganese', nominalVoltageV: 6, capacityMAh: [1400, 1600] },
  {
    designation: 'CR14250',
    commonName: 'half AA, 3 V',
    system: 'lithium-manganese',
    nominalVoltageV: 3,
    capacityMAh: [850, 950],
  },
  {
    designation: 'ER14250',
    commonName: 'half AA, 3.6 V',
    system: 'lithium-thionyl',
    nominalVoltageV: 3.6,
    capacityMAh: [1000, 1200],
  },
  {
    designation: 'ER14505',
    commonName: 'AA, 3.6 V',
    system: 'lithium-thionyl',
    nominalVoltageV: 3.6,
    capacityMAh: [2400, 2700],
  },
  { designation: 'LR6', commonName: 'AA', system: 'alkaline', nominalVoltageV: 1.5, capacityMAh: [2000, 3000] },
  { designation: 'LR03', commonName: 'AAA', system: 'alkaline', nominalVoltageV: 1.5, capacityMAh: [900, 1200] },
  { designation: 'LR1', commonName: 'N', system: 'alkaline', nominalVoltageV: 1.5, capacityMAh: [800, 1000] },
  { designation: '6LR61', commonName: '9 V', system: 'alkaline', nominalVoltageV: 9, capacityMAh: [500, 600] },
  { designation: '8LR932', commonName: '23A', system: 'alkaline', nominalVoltageV: 12, capacityMAh: [50, 60] },
  {
    designation: 'FR14505',
    commonName: 'AA lithium',
    system: 'lithium-iron',
    nominalVoltageV: 1.5,
    capacityMAh: [2900, 3000],
  },
  {
    designation: 'FR10G445',
    commonName: 'AAA lithium',
    system: 'lithium-iron',
    nominalVoltageV: 1.5,
    capacityMAh: [1100, 1200],
  },
]

/** Loss in a year on the shelf at 20 degrees C: lithium-manganese as a cell maker answers (reported), the others from memory. */
export const SHELF_LOSS_PER_YEAR: Record<PrimaryCell['system'], number> = {
  'lithium-manganese': 0.015,
  'lithium-thionyl': 0.01,
  alkaline: 0.025,
  'lithium-iron': 0.015,
}

/** Share of the capacity left at -20 degrees C: alkaline and coin cells as reported, cylinders from memory. */
export const COLD_SHARE: Record<PrimaryCell['system'], number> = {
  'lithium-manganese': 0.6,
  'lithium-thionyl': 0.7,
  alkaline: 0.5,
  'lithium-iron': 0.75,
}

/** The cell of a designation or common name, upper and lower case alike. */
export function findPrimaryCell(name: string): PrimaryCell | undefined {
  const wanted = name.trim().toLowerCase()
  return PRIMARY_CELLS.find(
    ({ designation, commonName }) => designation.toLowerCase() === wanted || commonName?.toLowerCase() === wanted,
  )
}
