import fc from 'fast-check'
import { beforeAll, describe, expect, test } from 'vitest'
import { currentRelease, type Release } from '../../src/ontology/release.ts'
import { readCatalogueFile } from '../../src/services/catalogue-file.ts'
import { parseCsv } from '../../src/services/csv.ts'
import { importCatalogue } from '../../src/services/import-catalogue.ts'
import { createKey } from '../../src/services/keys.ts'
import { countItems, narrowItems } from '../../src/store/catalogue.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'

let release: Release
beforeAll(() => {
  release = currentRelease()
})

const HEADER = 'sku,title,part_class,price,currency,stock,pack_quantity,nominalVoltageV,capacityAh,terminal'
const BATTERY = 'part-class/vrla-battery-12v'
const file = (...rows: string[]) => readCatalogueFile(release, [HEADER, ...rows].join('\n'))
const codes = (...rows: string[]) => file(...rows).faults.map(({ column, code }) => `${column} ${code}`)

describe('CSV as RFC 4180 has it', () => {
  const quoted = (field: string) => `"${field.replaceAll('"', '""')}"`
  const records = fc.array(fc.array(fc.string(), { minLength: 2, maxLength: 4 }), { minLength: 1, maxLength: 5 })

  test('whatever is written with quotes is read back', () => {
    fc.assert(
      fc.property(records, fc.constantFrom('\n', '\r\n'), fc.boolean(), fc.boolean(), (rows, end, hasMark, hasEnd) => {
        const body = rows.map((fields) => fields.map(quoted).join(',')).join(end)
        const text = (hasMark ? '\ufeff' : '') + body + (hasEnd ? end : '')
        expect(parseCsv(text).map(({ fields }) => fields)).toEqual(rows)
      }),
    )
  })

  test('a line break inside quotes moves the line of the next record, not its number', () => {
    expect(parseCsv('a,b\n"x\ny",1\n\nz,2\n')).toEqual([
      { fields: ['a', 'b'], line: 1 },
      { fields: ['x\ny', '1'], line: 2 },
      { fields: ['z', '2'], line: 5 },
    ])
  })

  test('a quote that never closes is told with its line', () => {
    expect(() => parseCsv('a,b\n"x,1\n')).toThrow(/line 2/)
  })
})

describe('a catalogue file', () => {
  test('a good row becomes an item with typed attributes; an empty cell is unknown and "none" is not', () => {
    expect(file(`B-7,"Battery, 12 V",${BATTERY},18.90,EUR,4,1,12,7.2,`)).toEqual({
      items: [
        {
          sku: 'B-7',
          title: 'Battery, 12 V',
          partClass: BATTERY,
          priceMinor: 1890,
          currency: 'EUR',
          stock: 4,
          packQuantity: 1,
          attributes: { nominalVoltageV: 12, capacityAh: 7.2 },
        },
      ],
      faults: [],
      rows: 1,
    })
    expect(file(`B-7,B,${BATTERY},,,,,12,none,`).items[0]!.attributes).toEqual({
      nominalVoltageV: 12,
      capacityAh: 'none',
    })
  })

  test.each([
    [`,B,${BATTERY},,,,,12,7,F1`, ['sku SKU_MISSING']],
    ['B,B,part-class/nothing,,,,,12,7,F1', ['part_class PART_CLASS_UNKNOWN']],
    [`B,B,${BATTERY},,,,,12,7`, [' ROW_FIELD_COUNT']],
    [`B,B,${BATTERY},,,,,12 V,7,F1`, ['nominalVoltageV NUMBER_INVALID']],
    [`B,B,${BATTERY},,,,,12,7.200,F1`, ['capacityAh NUMBER_AMBIGUOUS']],
    [`B,B,${BATTERY},,,,,12,"7,200",F1`, ['capacityAh NUMBER_AMBIGUOUS']],
    [`B,B,${BATTERY},,,,,12,0.125,F1`, []],
    [`B,B,${BATTERY},,,,,12,14..10,F1`, ['capacityAh NUMBER_INVALID']],
    [`B,B,${BATTERY},1.299,EUR,,,12,7,F1`, ['price PRICE_INVALID']],
    [`B,B,${BATTERY},"1,29",EUR,,,12,7,F1`, ['price PRICE_INVALID']],
    [`B,B,${BATTERY},1.29,,,,12,7,F1`, ['currency CURRENCY_UNKNOWN']],
    [`B,B,${BATTERY},,,-1,0,12,7,F1`, ['stock NUMBER_INVALID', 'pack_quantity NUMBER_INVALID']],
  ])('%s', (row, expected) => {
    expect(codes(row)).toEqual(expected)
  })

  test('a currency has its own minor unit', () => {
    const minor = (price: string, currency: string) =>
      file(`B,B,${BATTERY},${price},${currency},,,12,7,F1`).items[0]?.priceMinor
    expect([minor('1000', 'JPY'), minor('1.299', 'BHD'), minor('10.05', 'EUR'), minor('0.1', 'EUR')]).toEqual([
      1000, 1299, 1005, 10,
    ])
    expect(minor('10.5', 'JPY')).toBeUndefined()
  })

  test('a range is read as a range', () => {
    const text = 'sku,title,part_class,supplyVoltageV\nS,Siren,part-class/sounder,10.5..14'
    expect(readCatalogueFile(release, text).items[0]!.attributes).toEqual({ supplyVoltageV: { min: 10.5, max: 14 } })
  })

  test('a faulty row is told by row, line, column and value, and the second of two SKUs is refused', () => {
    const { items, faults } = file(`A,"two\nlines",${BATTERY},,,,,12,7,F1`, `A,B,${BATTERY},,,,,12,seven,F1`)
    expect(items.map(({ sku }) => sku)).toEqual(['A'])
    expect(faults.map(({ row, line, column, code, value }) => ({ row, line, column, code, value }))).toEqual([
      { row: 2, line: 4, column: 'capacityAh', code: 'NUMBER_INVALID', value: 'seven' },
      { row: 2, line: 4, column: 'sku', code: 'SKU_DUPLICATE_IN_FILE', value: 'A' },
    ])
  })

  test('a header with a column missing, doubled or unknown stops before any row', () => {
    const { items, faults } = readCatalogueFile(release, 'sku,title,sku,colourOfMoon\nA,B,A,x')
    expect(faults.map(({ code, column }) => `${code} ${column}`)).toEqual([
      'HEADER_MISSING part_class',
      'HEADER_DUPLICATE sku',
      'HEADER_UNKNOWN colourOfMoon',
    ])
    expect(items).toEqual([])
  })
})

test('a quote that never closes is a fault of the whole file', () => {
  expect(file(`A,B,${BATTERY},,,,,12,7,F1`, 'C,"open')).toMatchObject({
    items: [],
    faults: [{ code: 'CSV_UNTERMINATED_QUOTE', line: 3 }],
  })
})

describe('an import', () => {
  const good = `A,Good,${BATTERY},,,,,12,7,F1`
  const bad = `B,Bad,${BATTERY},,,,,twelve,7,F1`
  const importing = (database: Database, rows: string[], isPartial: boolean) =>
    importCatalogue(database, release, 'corner', [HEADER, ...rows].join('\n'), isPartial)

  test('one bad row keeps everything out unless the rest is asked for, and twice is as once', async () => {
    const database = await openDatabase(':memory:')
    await createKey(database, 'corner', ['catalogue'], 0)
    expect(await importing(database, [good, bad], false)).toMatchObject({ isApplied: false, changed: 0, leftOut: 2 })
    expect(await countItems(database, 'corner')).toBe(0)
    expect(await importing(database, [good, bad], true)).toMatchObject({ isApplied: true, changed: 1, leftOut: 1 })
    expect(await importing(database, [good, bad], true)).toMatchObject({ isApplied: true, changed: 0, leftOut: 1 })
    expect(await importing(database, [good.replace('Good', 'Better')], false)).toMatchObject({ changed: 1 })
    const any = { partClass: BATTERY, constraints: [], quantity: 1, adaptersAllowed: false }
    expect((await narrowItems(database, 'corner', any, 9)).map(({ title }) => title)).toEqual(['Better'])
    database.client.close()
  })
})
