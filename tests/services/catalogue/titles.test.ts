import { expect, test } from 'vitest'
import { BATTERY, codesOf, readFile } from '../../support/catalogue.ts'

const read = (title: string, capacity = '', options = {}) =>
  readFile(`sku,title,part_class,capacityAh\nB,"${title}",${BATTERY},${capacity}`, options)

test('attributes that no column states are read out of the title and marked as such', async () => {
  const { items, findings } = await read('Standby battery 12V 7.2Ah F1')
  expect(findings).toEqual([])
  expect(items[0]).toMatchObject({ attributes: { nominalVoltageV: 12, capacityAh: 7.2, terminal: 'F1' } })
  expect(items[0]!.readFromTitle).toEqual(['capacityAh', 'nominalVoltageV', 'terminal'])
})

test('a column beats the title, and the conflict is told', async () => {
  const { items, findings } = await read('Standby battery 12V 7.2Ah', '9')
  expect(items[0]!.attributes.capacityAh).toBe(9)
  expect(items[0]!.readFromTitle).toEqual(['nominalVoltageV'])
  expect(codesOf(findings)).toEqual(['capacityAh ATTRIBUTE_CONFLICT'])
  expect((await read('Standby battery 12V 7.2Ah', '7.2')).findings).toEqual([])
})

test('what the title leaves open stays unknown and is told', async () => {
  const { items, findings } = await read('Standby battery 12V 2,200 Ah')
  expect(items[0]!.attributes).toEqual({ nominalVoltageV: 12 })
  expect(codesOf(findings)).toEqual(['capacityAh ATTRIBUTE_AMBIGUOUS'])
})

test('titles are left alone where that is asked for, and where the part class is not known', async () => {
  expect((await read('Standby battery 12V 7.2Ah', '', { readTitles: false })).items[0]!.attributes).toEqual({})
  const { items } = await readFile('sku,title,part_class\nB,Battery 12V,part-class/other')
  expect(items[0]!.attributes).toEqual({})
})
