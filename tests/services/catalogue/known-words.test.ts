import { describe, expect, test } from 'vitest'
import { judgeItem } from '../../../src/domain/parts/judge.ts'
import type { Constraint } from '../../../src/domain/parts/types.ts'
import { BATTERY, codesOf, readFile } from '../../support/catalogue.ts'

const COIN = 'part-class/lithium-coin-cell'
const ALKALINE = 'part-class/alkaline-cell'
const AC = 'part-class/plug-in-supply-ac'
const one = async (partClass: string, attributes: object, title = 'Part') => {
  const { items, findings } = await readFile(
    JSON.stringify({ sku: 'A', title, partClass, attributes }),
    {},
    'ndjson',
    512,
  )
  return { item: items[0]!, codes: codesOf(findings) }
}
const demand = (attribute: string, value: Constraint['value'], isSafety = true): Constraint => ({
  attribute,
  op: Array.isArray(value) ? 'in' : 'eq',
  value,
  kind: 'hard',
  isSafety,
  origin: 'the kind of part',
})
const verdictOf = async (partClass: string, demands: Constraint[], attributes: object, title?: string) =>
  judgeItem(
    { partClass, constraints: demands, quantity: 1, adaptersAllowed: false },
    (await one(partClass, attributes, title)).item,
  ).verdict

describe('a word that is known for something else', () => {
  const LEAD = [demand('chemistry', ['agm', 'gel', 'lead-acid', 'sealed-lead-acid'])]

  test.each(['lithium-iron-phosphate', 'LiFePO4', 'LFP', 'li-ion', 'NiMH', 'lithium', 'flooded'])(
    'rejects a block of %s for a lead-acid charger, stated in a column or in the title',
    async (chemistry) => {
      expect(await verdictOf(BATTERY, LEAD, { chemistry })).toBe('rejected')
      expect(await verdictOf(BATTERY, LEAD, {}, `Block ${chemistry} 12 V 7 Ah`)).toBe('rejected')
      expect((await one(BATTERY, { chemistry })).codes).toEqual(['/attributes/chemistry VALUE_UNKNOWN'])
    },
  )

  test.each([
    [COIN, [demand('sizeName', 'CR2032', false)], { sizeName: 'CR2016' }, 'near-miss'],
    [AC, [demand('voltageKind', 'ac')], { voltageKind: 'DC' }, 'rejected'],
    [ALKALINE, [demand('chemistry', ['alkaline-manganese'])], { chemistry: 'Ni-MH' }, 'rejected'],
    ['part-class/lithium-thionyl-cell', [demand('sizeName', 'ER14505', false)], { sizeName: 'LR6' }, 'near-miss'],
  ] as const)('makes an item of %s no item to be confirmed', async (partClass, demands, attributes, verdict) => {
    expect(await verdictOf(partClass, [...demands], attributes)).toBe(verdict)
  })

  test('is told once as what the class is not for, and the value goes out and in again', async () => {
    const { item } = await one(COIN, { sizeName: 'CR2016' })
    expect(item.attributes.sizeName).toBe('CR2016')
    expect((await one(COIN, item.attributes)).item.attributes).toEqual(item.attributes)
  })
})

describe('another name of a word of the class', () => {
  test.each([
    [BATTERY, 'chemistry', 'sealed lead-acid', 'sealed-lead-acid'],
    [BATTERY, 'chemistry', 'Lead acid', 'lead-acid'],
    [BATTERY, 'chemistry', 'SLA', 'sealed-lead-acid'],
    [BATTERY, 'terminal', 'f2', 'F2'],
    [ALKALINE, 'sizeName', 'AA', 'LR6'],
    [ALKALINE, 'chemistry', 'alkaline', 'alkaline-manganese'],
    ['part-class/lithium-cell-3v-cylindrical', 'sizeName', 'CR123A', 'CR17345'],
    ['part-class/end-of-line-resistor', 'resistanceOhm', '4k7', 4700],
  ])('of %s: %s %s is %s', async (partClass, name, written, value) => {
    const { item, codes } = await one(partClass, { [name]: written })
    expect([item.attributes, codes]).toEqual([{ [name]: value }, []])
  })

  test('stays open where it could be a dangerous one: lithium in a coin cell may be rechargeable', async () => {
    const { item, codes } = await one(COIN, { chemistry: 'lithium' })
    expect([item.attributes, codes]).toEqual([{}, ['/attributes/chemistry VALUE_UNKNOWN']])
  })

  test('and what nobody knows is left out and told', async () => {
    const { item, codes } = await one(BATTERY, { terminal: 'the usual' })
    expect([item.attributes, codes]).toEqual([{}, ['/attributes/terminal VALUE_UNKNOWN']])
  })
})

test('a value that the part class has no attribute for is told, in JSON and in a column of others', async () => {
  const { item, codes } = await one(BATTERY, { capacityAh: 7, resistanceOhm: 2200, capacty: 7, constructor: 'x' })
  expect([item.attributes, codes]).toEqual([
    { capacityAh: 7 },
    ['resistanceOhm', 'capacty', 'constructor'].map((name) => `/attributes/${name} ATTRIBUTE_OF_OTHERS`),
  ])
  const file = `sku,title,part_class,capacityAh,resistanceOhm\nA,t,${BATTERY},7,\nB,t,${BATTERY},7,2200\n`
  const { findings } = await readFile(file)
  expect(findings.map(({ row, code, effect }) => [row, code, effect])).toEqual([
    [2, 'ATTRIBUTE_OF_OTHERS', 'value-left-out'],
  ])
})
