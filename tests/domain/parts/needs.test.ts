import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { matchParts } from '../../../src/domain/parts/match.ts'
import { findNeeds, type NeedsInput } from '../../../src/domain/parts/needs/find-needs.ts'
import type { PartSpec } from '../../../src/domain/parts/needs/spec.ts'
import type { Item } from '../../../src/domain/parts/types.ts'

const BATTERY: PartSpec = {
  id: 'part-class/battery',
  attributes: [
    { name: 'nominalVoltageV', role: 'safety', rule: 'equal', fixed: 12 },
    { name: 'chemistry', role: 'safety', rule: 'equal', values: ['agm', 'gel'], unspecific: ['lead-acid'] },
    { name: 'capacityAh', role: 'hard', rule: 'at-least' },
    { name: 'lengthMm', role: 'hard', rule: 'at-most' },
    { name: 'widthMm', role: 'hard', rule: 'at-most' },
    { name: 'terminal', role: 'hard', rule: 'equal' },
    { name: 'flameRetardantCase', role: 'preference', rule: 'equal', prefer: true },
  ],
}
const CELL: PartSpec = {
  id: 'part-class/cell',
  attributes: [
    { name: 'nominalVoltageV', role: 'safety', rule: 'equal', fixed: 3 },
    { name: 'rechargeable', role: 'safety', rule: 'equal', fixed: false },
    { name: 'quantityPerSet', role: 'hard', rule: 'count' },
  ],
}
const FUSE: PartSpec = {
  id: 'part-class/fuse',
  attributes: [
    { name: 'ratedCurrentA', role: 'safety', rule: 'equal' },
    { name: 'voltageV', role: 'hard', rule: 'at-least' },
    { name: 'fuseSpeed', role: 'safety', rule: 'equal', values: ['F', 'T'] },
    { name: 'breakingCapacity', role: 'safety', rule: 'at-least', order: ['L', 'E', 'H'] },
  ],
}
const SOUNDER: PartSpec = {
  id: 'part-class/sounder',
  attributes: [
    { name: 'supplyVoltageV', role: 'safety', rule: 'covers' },
    { name: 'currentA', role: 'safety', rule: 'at-most' },
  ],
}
const find = (spec: PartSpec, known: Partial<NeedsInput> = {}) =>
  findNeeds({ spec, system: {}, sizing: {}, oldPart: {}, demands: [], adaptersAllowed: false, ...known })
const demandOf = (need: ReturnType<typeof find>, name: string) =>
  need.requirement.constraints.filter(({ attribute }) => attribute === name).map(({ origin: _, ...rest }) => rest)

describe('what a part must be', () => {
  test('the capacity lies between the sizing and the least of what charger and case allow', () => {
    const sizing = { requiredCapacityAh: 6.4, chargeCurrentA: 0.35, chargerLimitAh: 12, caseLimitAh: 18 }
    const [demand] = demandOf(find(BATTERY, { sizing }), 'capacityAh')
    // 0.35 A x 0.9 x 24 h / 0.8, by charge balance.
    expect(demand).toMatchObject({ op: 'range', value: 6.4, to: 9.45, kind: 'hard', isSafety: false })
  })

  test('strings in parallel share the capacity, blocks in series make up the voltage', () => {
    const need = find(BATTERY, { system: { batteryVoltageV: 24 }, sizing: { requiredCapacityAh: 30, inParallel: 2 } })
    expect(need.requirement.quantity).toBe(4)
    expect(demandOf(need, 'capacityAh')[0]).toMatchObject({ op: 'min', value: 15 })
    expect(demandOf(need, 'nominalVoltageV')).toMatchObject([{ op: 'eq', value: 12, isSafety: true }])
    expect(need.notes).toContain('replace-together')
  })

  test('a kind of block that cannot make up the voltage is ruled out, and so is one of another number', () => {
    expect(find(BATTERY, { system: { batteryVoltageV: 6 } }).ruledOutBy).toMatchObject({ attribute: 'nominalVoltageV' })
    expect(find(BATTERY, { system: { batteryVoltageV: 24, fittedCount: 2 } }).ruledOutBy).toBeUndefined()
    expect(find(BATTERY, { system: { batteryVoltageV: 24, fittedCount: 4 } }).ruledOutBy).toBeDefined()
    expect(find(BATTERY, { system: { batteryVoltageV: 24 } }).asksCount).toBe(true)
  })

  test('without a sizing the old part is the least, and more than it is a question until the charger is known', () => {
    const need = find(BATTERY, { oldPart: { capacityAh: 7 } })
    expect(demandOf(need, 'capacityAh')).toMatchObject([
      { op: 'min', value: 7, kind: 'hard' },
      { op: 'max', value: 7, kind: 'confirm' },
    ])
    expect(need.notes).toContain('upper-bound-presumed')
    const limited = find(BATTERY, { oldPart: { capacityAh: 7 }, sizing: { chargerLimitAh: 9 } })
    expect(demandOf(limited, 'capacityAh')).toMatchObject([{ op: 'range', value: 7, to: 9 }])
  })

  test('a sizing counts for more than the old part, and says when that was too small', () => {
    const need = find(BATTERY, { oldPart: { capacityAh: 7 }, sizing: { requiredCapacityAh: 8.2, chargerLimitAh: 12 } })
    expect(demandOf(need, 'capacityAh')).toMatchObject([{ op: 'range', value: 8.2, to: 12 }])
    expect(need.notes).toContain('old-capacity-differs')
  })

  test('the room in the case bounds the part; the old part’s own measures only make it a question', () => {
    const measured = find(BATTERY, { system: { bayLengthMm: 70, bayWidthMm: 155 }, oldPart: { lengthMm: 151 } })
    expect(demandOf(measured, 'lengthMm')).toMatchObject([{ op: 'max', value: 155, kind: 'hard' }])
    expect(demandOf(measured, 'widthMm')).toMatchObject([{ op: 'max', value: 70, kind: 'hard' }])
    expect(demandOf(find(BATTERY, { oldPart: { lengthMm: 151 } }), 'lengthMm')).toMatchObject([
      { op: 'max', value: 151, kind: 'confirm' },
    ])
  })

  test('a chemistry’s family name is no chemistry, and one of another family rules the kind out', () => {
    expect(demandOf(find(BATTERY, { oldPart: { chemistry: 'lead-acid' } }), 'chemistry')).toMatchObject([
      { op: 'in', value: ['agm', 'gel', 'lead-acid'], isSafety: true },
    ])
    expect(find(BATTERY, { oldPart: { chemistry: 'lithium-iron-phosphate' } }).ruledOutBy).toMatchObject({
      attribute: 'chemistry',
      isSafety: true,
    })
  })

  test('a holder that charges its cell takes no cell that cannot be recharged', () => {
    expect(find(CELL, { system: { slotCharges: true } }).ruledOutBy).toMatchObject({ attribute: 'rechargeable' })
    expect(find(CELL, { system: { slotCharges: false } }).ruledOutBy).toBeUndefined()
  })

  test('cells are counted, not compared', () => {
    expect(find(CELL, { oldPart: { quantityPerSet: 3 } }).requirement.quantity).toBe(3)
    expect(find(CELL, { oldPart: { quantityPerSet: 3 }, quantity: 6 }).requirement.quantity).toBe(6)
    expect(demandOf(find(CELL, { oldPart: { quantityPerSet: 3 } }), 'quantityPerSet')).toEqual([])
  })

  test('a fuse keeps its current, takes more voltage and any higher breaking capacity', () => {
    const need = find(FUSE, { oldPart: { ratedCurrentA: 2, voltageV: 125, breakingCapacity: 'E' } })
    expect(demandOf(need, 'ratedCurrentA')).toMatchObject([{ op: 'eq', value: 2, isSafety: true }])
    expect(demandOf(need, 'voltageV')).toMatchObject([{ op: 'min', value: 125 }])
    expect(demandOf(need, 'breakingCapacity')).toMatchObject([{ op: 'in', value: ['E', 'H'], isSafety: true }])
  })

  test('a sounder covers the supply and draws no more than the output gives; what a supply must give is not its matter', () => {
    const system = { deviceSupplyV: { min: 11, max: 14 }, outputLimitA: 1, loadCurrentA: 0.3 }
    const need = find(SOUNDER, { system })
    expect(demandOf(need, 'supplyVoltageV')).toMatchObject([{ op: 'covers', value: 11, to: 14, isSafety: true }])
    expect(demandOf(need, 'currentA')).toMatchObject([{ op: 'max', value: 1, isSafety: true }])
    expect(need.unused).toEqual(['/system/loadCurrent'])
  })
})

describe('facts against each other', () => {
  test('a sizing above what the charger recharges is said with both sides, and both stay in the requirement', () => {
    const need = find(BATTERY, { sizing: { requiredCapacityAh: 12, chargeCurrentA: 0.35 } })
    expect(need.contradictions).toMatchObject([
      { attribute: 'capacityAh', between: [{ required: 'at least 12' }, { required: 'at most 9.45' }] },
    ])
    expect(need.ruledOutBy).toBeUndefined()
    expect(demandOf(need, 'capacityAh').map(({ op }) => op)).toEqual(['min', 'max'])
  })

  test('the same fact from two sides is no contradiction', () => {
    const need = find(BATTERY, { system: { batteryVoltageV: 12 }, oldPart: { nominalVoltageV: 12 } })
    expect(need.contradictions).toEqual([])
    expect(demandOf(need, 'nominalVoltageV')).toHaveLength(1)
  })
})

describe('what nobody stated', () => {
  test('stands in the requirement as a question, so that nothing is called a fit on it', () => {
    const need = find(FUSE, { oldPart: { voltageV: 250, breakingCapacity: 'L', fuseSpeed: 'T' } })
    expect(need.open).toEqual(['ratedCurrentA'])
    const item: Item = {
      sku: 'F',
      partClass: FUSE.id,
      title: 'a fuse',
      attributes: { ratedCurrentA: 10, voltageV: 250, breakingCapacity: 'H', fuseSpeed: 'T' },
    }
    const { fits, confirmFirst } = matchParts(need.requirement, [item])
    expect([fits.length, confirmFirst[0]!.unknown.map(({ attribute }) => attribute)]).toEqual([0, ['ratedCurrentA']])
  })

  test('a list of what a kind can be settles nothing, unless a family’s name covers it as a whole', () => {
    expect(find(FUSE).open).toContain('fuseSpeed')
    expect(find(BATTERY).open).not.toContain('chemistry')
    const slow: Item = { sku: 'F', partClass: FUSE.id, title: '', attributes: { fuseSpeed: 'slow' } }
    expect(matchParts(find(FUSE).requirement, [slow]).rejected).toHaveLength(1)
  })

  test('a word of another kind in question rules this one out', () => {
    const closed = new Set(['chemistry'])
    const known = { oldPart: { chemistry: 'alkaline' }, closed }
    expect(find(BATTERY, known).ruledOutBy).toMatchObject({ attribute: 'chemistry' })
  })

  test('a field that no core can use is refused with its pointer', () => {
    const refused = (known: Partial<NeedsInput>, path: string) =>
      expect(() => find(BATTERY, known)).toThrow(
        expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE', detail: expect.objectContaining({ path }) }),
      )
    refused({ system: { batteryVoltageV: -12 } }, '/system/batteryVoltage')
    refused({ system: { bayLengthMm: Number.NaN } }, '/system/bay/length')
    refused({ sizing: { requiredCapacityAh: Number.POSITIVE_INFINITY } }, '/sizing/requiredCapacity')
    refused({ sizing: { chargeCurrentA: 1, rechargeFraction: 0 } }, '/sizing/rechargeFraction')
  })

  test('knowing more of the system never lets an item in that was refused', () => {
    const number = fc.constantFrom(6, 7, 9, 12, 65, 100, 151)
    const item = fc.record({
      sku: fc.constant('P'),
      partClass: fc.constant(BATTERY.id),
      title: fc.constant('a part'),
      attributes: fc.record(
        {
          nominalVoltageV: fc.constantFrom(6, 12),
          chemistry: fc.constantFrom('agm', 'gel', 'lithium'),
          capacityAh: number,
          lengthMm: number,
          widthMm: number,
          terminal: fc.constantFrom('F1', 'F2'),
        },
        { requiredKeys: [] },
      ),
    }) as fc.Arbitrary<Item>
    const facts = fc.record(
      {
        batteryVoltageV: fc.constantFrom(12, 24),
        bayLengthMm: number,
        terminals: fc.constantFrom(['F1'], ['F1', 'F2']),
      },
      { requiredKeys: [] },
    )
    fc.assert(
      fc.property(item, facts, number, (one, system, limit) => {
        const isIn = (known: Partial<NeedsInput>) =>
          !matchParts(find(BATTERY, known).requirement, [one]).rejected.length
        const isFit = (known: Partial<NeedsInput>) =>
          matchParts(find(BATTERY, known).requirement, [one]).fits.length > 0
        if (isFit({ system, sizing: { chargerLimitAh: limit } })) expect(isIn({})).toBe(true)
      }),
    )
  })
})
