/**
 * Electrochemical systems of IEC 60086-1 by letter, with nominal voltage of one cell [V].
 * Source: Battery Association of Japan, battery standards page (read). Linden's Handbook, 4th ed., table 4.4a prints
 * 3.6 V for lithium-ion cobalt where this list prints 3.7 V; other lists print 1.65 V for zinc-air.
 */
export interface CellSystem {
  chemistry: string
  nominalVoltageV: number
  rechargeable: boolean
}
const system = (chemistry: string, nominalVoltageV: number, rechargeable = false): CellSystem => ({
  chemistry,
  nominalVoltageV,
  rechargeable,
})

export const SYSTEMS: ReadonlyMap<string, CellSystem> = new Map([
  ['', system('zinc-carbon', 1.5)],
  ['B', system('lithium-carbon-monofluoride', 3)],
  ['C', system('lithium-manganese-dioxide', 3)],
  ['E', system('lithium-thionyl-chloride', 3.6)],
  ['F', system('lithium-iron-disulfide', 1.5)],
  ['G', system('lithium-copper-oxide', 1.5)],
  ['L', system('alkaline-manganese', 1.5)],
  ['P', system('zinc-air', 1.4)],
  ['S', system('silver-oxide', 1.55)],
  ['Z', system('nickel-oxyhydroxide-zinc', 1.5)],
  ['H', system('nickel-metal-hydride', 1.2, true)],
  ['K', system('nickel-cadmium', 1.2, true)],
  ['IC', system('lithium-ion-cobalt', 3.7, true)],
  ['PB', system('lead-acid', 2, true)],
])
