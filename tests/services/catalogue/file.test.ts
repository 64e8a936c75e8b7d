import currencyCodes from 'currency-codes'
import fc from 'fast-check'
import Papa from 'papaparse'
import { describe, expect, test } from 'vitest'
import { minorDigits } from '../../../src/domain/parts/currencies.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import { CsvReader, parseCsv } from '../../../src/services/csv.ts'
import { importCatalogue } from '../../../src/services/import-catalogue.ts'
import { createKey } from '../../../src/services/keys.ts'
import { countItems } from '../../../src/store/catalogue/items.ts'
import { narrowItems } from '../../../src/store/catalogue/narrow.ts'
import { type Database, openDatabase } from '../../../src/store/open.ts'
import { BATTERY, codesOf, readFile } from '../../support/catalogue.ts'

const HEADER = 'sku,title,part_class,price,currency,stock,pack_quantity,nominalVoltageV,capacityAh,terminal'
const file = (...rows: string[]) => readFile([HEADER, ...rows].join('\n'))
const codes = async (...rows: string[]) => codesOf((await file(...rows)).findings)

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

test('CSV is read alike however it is cut into pieces, and as another reader reads it', () => {
  const field = fc.stringMatching(/^[a-z0-9",;\n\r ]{0,8}$/).map((text) => quotedWhereNeeded(text))
  const text = fc
    .array(fc.array(field, { minLength: 2, maxLength: 4 }), { minLength: 1, maxLength: 5 })
    .map((rows) => rows.map((fields) => fields.join(',')).join('\n'))
  fc.assert(
    fc.property(text, fc.integer({ min: 1, max: 9 }), (csv, size) => {
      const reader = new CsvReader(',')
      const pieces = csv.match(new RegExp(`[^]{1,${size}}`, 'g')) ?? []
      const cut = [...pieces.flatMap((piece) => reader.push(piece)), ...reader.end()]
      expect(cut).toEqual(parseCsv(csv))
      const others = Papa.parse<string[]>(csv, { delimiter: ',', newline: '\n', skipEmptyLines: true }).data
      expect(cut.map(({ fields }) => fields)).toEqual(others)
    }),
  )
})
const quotedWhereNeeded = (text: string) => (/[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text)

describe('a catalogue file', () => {
  test('a good row becomes an item with typed attributes; an empty cell is unknown and "none" is not', async () => {
    expect(await file(`B-7,"Battery, 12 V",${BATTERY},18.90,EUR,4,1,12,7.2,`)).toMatchObject({
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
      findings: [],
      rows: 1,
    })
    const { items } = await file(`B-7,B,${BATTERY},,,,,12,none,`)
    expect(items[0]!.attributes).toEqual({ nominalVoltageV: 12, capacityAh: 'none' })
  })

  test.each([
    [`,B,${BATTERY},,,,,12,7,F1`, ['sku SKU_MISSING']],
    [`B,,${BATTERY},,,,,12,7,F1`, ['title TITLE_MISSING']],
    ['B,B,part-class/nothing,,,,,12,7,F1', ['part_class PART_CLASS_UNKNOWN']],
    [`B,B,${BATTERY},,,,,12,7`, [' ROW_FIELD_COUNT']],
    [`B,B,${BATTERY},,,,,12 V,7,F1`, []],
    [`B,B,${BATTERY},,,,,12 mm,7,F1`, ['nominalVoltageV UNIT_UNKNOWN']],
    [`B,B,${BATTERY},,,,,twelve,7,F1`, ['nominalVoltageV NUMBER_INVALID']],
    [`B,B,${BATTERY},,,,,-12,7,F1`, ['nominalVoltageV QUANTITY_OUT_OF_RANGE']],
    [`B,B,${BATTERY},,,,,12,7.200,F1`, ['capacityAh NUMBER_AMBIGUOUS']],
    [`B,B,${BATTERY},,,,,12,"7,200",F1`, ['capacityAh NUMBER_AMBIGUOUS']],
    [`B,B,${BATTERY},,,,,12,"7,2",F1`, []],
    [`B,B,${BATTERY},,,,,12,0.125,F1`, []],
    [`B,B,${BATTERY},,,,,12,14..10,F1`, ['capacityAh NUMBER_INVALID']],
    [`B,B,${BATTERY},,,,,12,7,F9`, ['terminal VALUE_UNKNOWN']],
    [`B,B,${BATTERY},1.299,EUR,,,12,7,F1`, ['price PRICE_INVALID']],
    [`B,B,${BATTERY},12.345,EUR,,,12,7,F1`, ['price PRICE_INVALID']],
    [`B,B,${BATTERY},"1.299,50",EUR,,,12,7,F1`, []],
    [`B,B,${BATTERY},12.50 EUR,,,,12,7,F1`, []],
    [`B,B,${BATTERY},12.50 EUR,USD,,,12,7,F1`, ['price PRICE_INVALID']],
    [`B,B,${BATTERY},1.29,,,,12,7,F1`, ['currency CURRENCY_UNKNOWN']],
    [`B,B,${BATTERY},1.29,QQQ,,,12,7,F1`, ['currency CURRENCY_UNKNOWN']],
    [`B,B,${BATTERY},,,-1,0,12,7,F1`, ['stock NUMBER_INVALID', 'pack_quantity NUMBER_INVALID']],
  ])('%s', async (row, expected) => {
    expect(await codes(row)).toEqual(expected)
  })

  test('a stated decimal mark settles what would be ambiguous', async () => {
    const capacity = async (text: string, decimalMark: '.' | ',') =>
      (await readFile(`sku,title,part_class,capacityAh\nB,B,${BATTERY},"${text}"`, { decimalMark })).items[0]
        ?.attributes.capacityAh
    expect(await capacity('7,200', ',')).toBe(7.2)
    expect(await capacity('7,200', '.')).toBe(7200)
    expect(await capacity('1.299,5', ',')).toBe(1299.5)
    expect(await capacity('7,2', '.')).toBeUndefined()
  })

  test('a unit behind a number is converted to the unit of the attribute', async () => {
    const { items } = await file(`B,B,${BATTERY},,,,,12000 mV,7200mAh,F1`)
    expect(items[0]!.attributes).toEqual({ nominalVoltageV: 12, capacityAh: 7.2, terminal: 'F1' })
  })

  test('a range is read as a range', async () => {
    const { items } = await readFile('sku,title,part_class,supplyVoltageV\nS,Siren,part-class/sounder,10.5..14')
    expect(items[0]!.attributes).toEqual({ supplyVoltageV: { min: 10.5, max: 14 } })
  })

  test('a faulty value is told by row, line, column and value; the row stays, the value is unknown', async () => {
    const { items, findings } = await file(`A,"two\nlines",${BATTERY},,,,,12,7,F1`, `B,B,${BATTERY},,,,,12,seven,F1`)
    expect(items.map(({ sku }) => sku)).toEqual(['A', 'B'])
    expect(items[1]!.attributes).toEqual({ nominalVoltageV: 12, terminal: 'F1' })
    expect(findings).toMatchObject([
      { row: 2, line: 4, column: 'capacityAh', code: 'NUMBER_INVALID', value: 'seven', effect: 'value-left-out' },
    ])
  })

  test('a header with a column missing or doubled stops before any row; an unknown one is told with its likely meaning', async () => {
    const { items, findings } = await readFile('sku,title,sku,capacityAhh\nA,B,A,x')
    expect(codesOf(findings)).toEqual([
      'sku HEADER_DUPLICATE',
      'capacityAhh HEADER_UNKNOWN',
      'part_class HEADER_MISSING',
    ])
    expect(findings[1]).toMatchObject({ severity: 'warning', suggestion: 'capacityAh' })
    expect(items).toEqual([])
  })

  test('columns by the names of product feeds, and by a mapping of the shop’s own, are understood', async () => {
    const feed =
      'id;title;link;price;availability;gtin;brand;Klasse\nB;Battery;x;12,50 EUR;out_of_stock;6291041500213;Lumen;' +
      BATTERY
    const { items, findings } = await readFile(feed, { columns: { Klasse: 'part_class' } })
    expect(findings).toEqual([])
    expect(items).toEqual([
      {
        sku: 'B',
        title: 'Battery',
        partClass: BATTERY,
        attributes: {},
        priceMinor: 1250,
        currency: 'EUR',
        stock: 0,
        gtin14: '06291041500213',
        brand: 'Lumen',
      },
    ])
  })

  test.each([',', ';', '\t'])('the delimiter %j is told from the header', async (delimiter) => {
    const lines = [
      ['sku', 'title', 'part_class'],
      ['B', '"a,b;c\td"', BATTERY],
    ].map((cells) => cells.join(delimiter))
    expect((await readFile(lines.join('\r\n'))).items[0]).toMatchObject({ title: 'a,b;c\td' })
  })

  test('a byte-order mark is no part of the first column', async () => {
    expect((await readFile(`\ufeff${HEADER}\nA,B,${BATTERY},,,,,12,7,F1`)).items).toHaveLength(1)
  })

  test('another encoding than UTF-8 stops with the line it was met on', async () => {
    const start = new TextEncoder().encode(`${HEADER}\nA,B,${BATTERY},,,,,12,7,F1\nB,Caf`)
    const { findings } = await readFile(new Uint8Array([...start, 0xe9, 0x0a]), {}, 'csv', 50)
    expect(findings).toMatchObject([{ code: 'ENCODING_NOT_UTF8', line: 3 }])
  })

  test('a quote that never closes is a fault of the whole file', async () => {
    const { findings } = await file(`A,B,${BATTERY},,,,,12,7,F1`, 'C,"open')
    expect(findings).toMatchObject([{ code: 'CSV_UNTERMINATED_QUOTE', line: 3 }])
  })

  test('objects, one a line, are read as rows are', async () => {
    const lines = [
      JSON.stringify({
        sku: 'A',
        title: 'A',
        partClass: BATTERY,
        attributes: { capacityAh: 7, lengthMm: { value: 15.1, unit: 'cm' } },
      }),
      '',
      '{broken',
      JSON.stringify({
        sku: 'B',
        title: 'B',
        partClass: BATTERY,
        priceMinor: 1890,
        currency: 'EUR',
        colour: 'red',
        attributes: { capacityAh: 'many' },
      }),
    ]
    const { items, findings, rows } = await readFile(lines.join('\n'), {}, 'ndjson')
    expect(rows).toBe(3)
    expect(items[0]!.attributes).toEqual({ capacityAh: 7, lengthMm: 151 })
    expect(items[1]).toMatchObject({ sku: 'B', priceMinor: 1890 })
    expect(findings.map(({ line, column, code }) => `${line} ${column} ${code}`)).toEqual([
      '3  JSON_INVALID',
      '4 /colour HEADER_UNKNOWN',
      '4 /attributes/capacityAh NUMBER_INVALID',
    ])
  })
})

describe('a price', () => {
  const minor = async (price: string, currency: string) =>
    (await file(`B,B,${BATTERY},${price},${currency},,,12,7,F1`)).items[0]?.priceMinor

  test('has the minor unit of its currency', async () => {
    expect(await minor('1000', 'JPY')).toBe(1000)
    expect(await minor('1.299', 'BHD')).toBe(1299)
    expect(await minor('10.05', 'EUR')).toBe(1005)
    expect(await minor('0.1', 'EUR')).toBe(10)
    expect(await minor('1.5', 'CLF')).toBe(15000)
    expect(await minor('10.5', 'JPY')).toBeUndefined()
  })

  // currency-codes 2.2.0, generated from ISO 4217 list one of 2024-06-25; funds of account, metals and test codes begin with X and have no minor unit.
  test('has the decimals that ISO 4217 states, for every currency of the list', () => {
    const noMoney = new Set('XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX'.split(' '))
    const listed = currencyCodes.data.filter(({ code }) => !noMoney.has(code))
    expect(listed.length).toBeGreaterThan(150)
    for (const { code, digits } of listed) expect([code, minorDigits(code)]).toEqual([code, digits])
    for (const code of noMoney) expect(minorDigits(code)).toBeUndefined()
  })
})

describe('an import', () => {
  const good = `A,Good,${BATTERY},,,,,12,7,F1`
  const bad = `B,Bad,${BATTERY},,,,,twelve,7,F1`
  const importing = (database: Database, rows: string[], isPartial: boolean) =>
    importCatalogue(database, currentRelease(), 'corner', [HEADER, ...rows].join('\n'), isPartial)

  test('one bad row keeps everything out unless the rest is asked for, and twice is as once', async () => {
    const database = await openDatabase(':memory:')
    await createKey(database, 'corner', ['catalogue'], 0)
    const nameless = bad.replace('B,Bad', ',Bad')
    expect(await importing(database, [good, nameless], false)).toMatchObject({
      isApplied: false,
      changed: 0,
      leftOut: 2,
    })
    expect(await importing(database, [good, bad], false)).toMatchObject({ isApplied: false, changed: 0 })
    expect(await countItems(database, 'corner')).toBe(0)
    expect(await importing(database, [good, nameless], true)).toMatchObject({ isApplied: true, changed: 1, leftOut: 1 })
    expect(await importing(database, [good, nameless], true)).toMatchObject({ isApplied: true, changed: 0, leftOut: 1 })
    expect(await importing(database, [good.replace('Good', 'Better')], false)).toMatchObject({ changed: 1 })
    const any = { partClass: BATTERY, constraints: [], quantity: 1, adaptersAllowed: false }
    expect((await narrowItems(database, 'corner', any, 9)).map(({ title }) => title)).toEqual(['Better'])
    database.client.close()
  })

  test('the second of two rows with one SKU is left out and told', async () => {
    const database = await openDatabase(':memory:')
    await createKey(database, 'corner', ['catalogue'], 0)
    expect(await importing(database, [good, good], false)).toMatchObject({ isApplied: false })
    const report = await importing(database, [good, good.replace('Good', 'Other')], true)
    expect(report).toMatchObject({ isApplied: true, changed: 1, leftOut: 1 })
    expect(report.faults).toMatchObject([{ row: 2, line: 3, column: 'sku', code: 'SKU_DUPLICATE_IN_FILE', value: 'A' }])
    database.client.close()
  })
})
