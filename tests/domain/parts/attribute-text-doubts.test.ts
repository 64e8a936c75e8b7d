import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { compareWithColumns } from '../../../src/domain/parts/attribute-text/compare.ts'
import { readAttributes } from '../../../src/domain/parts/attribute-text/read-attributes.ts'
import type { ReadOptions } from '../../../src/domain/parts/attribute-text/types.ts'
import { CASE_FAMILIES, implausibleFor } from '../../../src/domain/parts/case-families.ts'

const BATTERY = { partClass: 'part-class/vrla-battery-12v' }
const RESISTOR = { partClass: 'part-class/end-of-line-resistor' }
const CABLE = { partClass: 'part-class/security-cable' }
const FUSE = { partClass: 'part-class/fuse-cartridge' }
const read = (text: string, options: ReadOptions = {}) => readAttributes(text, options)
const attribute = (text: string, name: string, options: ReadOptions = {}) =>
  read(text, options).attributes.find((one) => one.name === name)
const asked = (text: string, options: ReadOptions = {}) =>
  read(text, options).questions.map(({ kind, attribute: name }) => `${kind} ${name}`)

describe('what may mean two things', () => {
  test('1: one mark with three figures behind it gives both readings, unless the mark is told', () => {
    expect(attribute('1,200 mAh', 'capacityAh')).toMatchObject({ certainty: 'ambiguous', candidates: [1.2, 0.0012] })
    expect(attribute('2.200 ohm', 'resistanceOhm')?.candidates).toEqual([2.2, 2200])
    expect(attribute('2.200 ohm', 'resistanceOhm', { decimalMark: ',' })).toMatchObject({
      value: 2200,
      certainty: 'stated',
    })
    expect(attribute('2.200 ohm', 'resistanceOhm', { decimalMark: '.' })).toMatchObject({
      value: 2.2,
      certainty: 'stated',
    })
    expect(attribute('1,234.5 ohm', 'resistanceOhm')).toMatchObject({ value: 1234.5, certainty: 'stated' })
    expect(attribute('1.234,5 ohm', 'resistanceOhm')).toMatchObject({ value: 1234.5, certainty: 'stated' })
    expect(attribute('0.125 W 10K', 'powerW')).toMatchObject({ value: 0.125, certainty: 'stated' })
  })

  test('1: the plausible reading comes first, and is asked all the same', () => {
    expect(attribute('12V 7,000 Ah', 'capacityAh')?.candidates).toEqual([7, 7000])
    expect(asked('12V 7,000 Ah')).toContain('ambiguous capacityAh')
  })

  test('2: M is mega on a resistor, metres on a cable, milli before A and Ah', () => {
    expect(attribute('1M', 'resistanceOhm', RESISTOR)?.value).toBe(1e6)
    expect(attribute('100m', 'lengthM', CABLE)?.value).toBe(100)
    expect(attribute('1M', 'resistanceOhm', CABLE)).toBeUndefined()
    expect(asked('1M')).toContain('ambiguous resistanceOhm')
    expect(attribute('2000MAH', 'capacityAh')?.value).toBe(2)
    expect(attribute('500MA', 'currentA')?.value).toBe(0.5)
  })

  test('3: F is quick on a fuse and a tab on a battery', () => {
    expect(attribute('F1A', 'fuseSpeed')?.value).toBe('F')
    expect(attribute('F1', 'terminal', BATTERY)?.value).toBe('F1')
    expect(attribute('F1', 'terminal', FUSE)).toBeUndefined()
    expect(attribute('1A F', 'fuseSpeed', FUSE)?.value).toBe('F')
  })

  test('4: 23A and 123A are names of cells, and amperes on a supply', () => {
    expect(attribute('23A alkaline', 'sizeName')?.value).toBe('8LR932')
    expect(attribute('123A battery', 'sizeName')?.value).toBe('CR17345')
    expect(attribute('12V 24A PSU', 'currentA')?.value).toBe(24)
    expect(asked('24A')).toContain('ambiguous sizeName')
  })

  test('5: AA at 3.6 V is a hazard and no LR6', () => {
    expect(asked('AA 3.6V')).toContain('hazard chemistry')
    expect(attribute('AA 3.6V', 'sizeName')?.candidates).toEqual(['ER14505'])
    expect(attribute('AA alkaline', 'sizeName')).toMatchObject({ value: 'LR6', certainty: 'derived' })
    expect(attribute('AA', 'sizeName')).toMatchObject({ certainty: 'ambiguous', candidates: ['LR6', 'R6', 'FR6'] })
  })

  test('6: watts on a transformer are no VA', () => {
    expect(attribute('transformer 16V 20W', 'apparentPowerVA')).toBeUndefined()
    expect(asked('transformer 16V 20W')).toContain('missing apparentPowerVA')
  })

  test('7: volts times amperes of a transformer are derived, and ac is asked', () => {
    expect(attribute('transformer 16V 1.5A', 'apparentPowerVA')).toMatchObject({ value: 24, certainty: 'derived' })
    expect(asked('transformer 16V 1.5A')).toContain('missing voltageKind')
    expect(attribute('transformer 16V 1.5A', 'voltageKind')).toBeUndefined()
  })

  test('8: a sound level without a distance asks for it', () => {
    expect(asked('siren 110dB')).toContain('missing soundDistanceM')
    expect(attribute('siren 110dB at 3 m', 'soundDistanceM')?.value).toBe(3)
  })

  test('9: 22/4 is gauge and conductors on a cable only', () => {
    expect(attribute('22/4', 'conductors', CABLE)?.value).toBe(4)
    expect(attribute('22-4 cable', 'gaugeAwg')?.value).toBe(22)
    expect(read('22/4').attributes).toEqual([])
    expect(read('22/4').residue).toEqual(['22/4'])
  })

  test('10: a number before a cell may count a pack or the cells of a holder', () => {
    expect(asked('2x AA')).toContain('ambiguous packQuantity')
    expect(attribute('2x AA', 'cellCount', { partClass: 'part-class/battery-box-or-tray' })?.value).toBe(2)
    expect(attribute('2x AA', 'packQuantity', { partClass: 'part-class/alkaline-cell' })).toMatchObject({
      value: 2,
      certainty: 'stated',
    })
    expect(attribute('2x AA', 'quantityPerSet', { partClass: 'part-class/radio-contact' })?.value).toBe(2)
  })

  test('11: NC and N/C are asked in every spelling', () => {
    for (const text of ['reed NC', 'reed N/C', 'reed contact normally closed'])
      expect(asked(text)).toContain('ambiguous contactForm')
    expect(attribute('reed NC', 'contactForm')?.candidates).toEqual(['NC', 'NO'])
    expect(attribute('reed change-over', 'contactForm')).toMatchObject({ value: 'SPDT', certainty: 'stated' })
  })

  test('12: 50/60 Hz is a set and no ratio', () => {
    expect(attribute('230V/16V 50/60Hz transformer', 'frequencyHz')?.list).toEqual([50, 60])
  })

  test('13: an hour rate is kept with the capacity, and none is assumed', () => {
    for (const text of ['7Ah/20HR', '7Ah @ 20h', '7 Ah (20 hr)', '7Ah C20'])
      expect(attribute(text, 'dischargeHours')?.value).toBe(20)
    expect(attribute('7Ah', 'dischargeHours')).toBeUndefined()
  })

  test('14: quotes are inches in measures only', () => {
    expect(attribute('6" x 2.5" x 4"', 'lengthMm', BATTERY)?.value).toBe(152.4)
    expect(read('the 12 "best" battery').attributes.filter(({ name }) => name.endsWith('Mm'))).toEqual([])
  })
})

describe('other readings', () => {
  test('measures without a unit are millimetres where nothing else is possible, and asked where it is', () => {
    expect(attribute('151x65x94', 'lengthMm', BATTERY)).toMatchObject({ value: 151, certainty: 'derived' })
    expect(asked('6x2.5x4', BATTERY)).toContain('ambiguous lengthMm')
    expect(attribute('15.1 x 6.5 x 9.4 cm', 'heightMm', BATTERY)?.value).toBe(94)
  })

  test('two statements that differ stay open', () => {
    expect(attribute('12V 7Ah 9Ah', 'capacityAh')).toMatchObject({ certainty: 'ambiguous', candidates: [7, 9] })
    expect(asked('CR123A 3.7V')).toContain('hazard nominalVoltageV')
  })

  test('a model number is a word, whatever it looks like', () => {
    expect(read('XB7-12 sealed').attributes).toEqual([])
    expect(read('XB7-12 sealed').residue).toEqual(['XB7-12', 'sealed'])
  })

  test('a letter code is a resistance, and a size of a cell only on a cell', () => {
    expect(attribute('R47', 'resistanceOhm')?.value).toBe(0.47)
    expect(attribute('R20', 'sizeName', { partClass: 'part-class/alkaline-cell' })?.value).toBe('R20')
    expect(attribute('4K7J', 'toleranceFraction')?.value).toBe(0.05)
  })

  test('places count in the text given, whatever became of its signs', () => {
    const text = '\u{1f50b}  \u00bd W  5\u338f 12\u00a0V 7\u00b72'
    for (const { span } of read(text).attributes) expect(text.slice(span.start, span.end).trim()).not.toBe('')
    const volts = attribute(text, 'nominalVoltageV')!
    expect(text.slice(volts.span.start, volts.span.end)).toBe('12\u00a0V')
  })
})

describe('a title beside typed columns', () => {
  const compare = (text: string, columns: Record<string, any>) => compareWithColumns(read(text, BATTERY), columns)

  test('tells both values where they differ', () => {
    expect(compare('12V 7Ah F1', { capacityAh: 9, terminal: 'F1', nominalVoltageV: 12 })).toEqual([
      { code: 'ATTRIBUTE_CONFLICT', attribute: 'capacityAh', inText: 7, inColumn: 9, span: { start: 4, end: 7 } },
    ])
    expect(compare('12V F2', { terminal: 'none' })).toMatchObject([{ inText: 'F2', inColumn: 'none' }])
  })

  test('is silent where they agree, where only one speaks, and where a column settles an open reading', () => {
    expect(compare('12V 7Ah SLA', { nominalVoltageV: 12, heightMm: 100, chemistry: 'gel' })).toEqual([])
    expect(compare('7,000 Ah', { capacityAh: 7 })).toEqual([])
    expect(compare('7,000 Ah', { capacityAh: 9 })).toHaveLength(1)
  })

  test('compares ranges as ranges', () => {
    const siren = readAttributes('siren 6-14VDC')
    expect(compareWithColumns(siren, { supplyVoltageV: { min: 6, max: 14 } })).toEqual([])
    expect(compareWithColumns(siren, { supplyVoltageV: { min: 9, max: 14 } })).toHaveLength(1)
    expect(compareWithColumns(siren, { supplyVoltageV: 12 })).toHaveLength(1)
  })
})

describe('usual cases of lead-acid blocks', () => {
  const block = { nominalVoltageV: 12, capacityAh: 7, lengthMm: 151, widthMm: 65, heightMm: 94, terminal: 'F1' }

  test('hold what the table of the reference holds', () => {
    const { rows } = JSON.parse(readFileSync('tests/reference/parts/tables.json', 'utf8')).leadAcidCases
    expect(CASE_FAMILIES).toEqual(rows.map(({ caseHeightMm, ...row }: any) => row))
  })

  test('raise no doubt for a usual block, nor for one laid down the other way round', () => {
    expect(implausibleFor(block)).toEqual([])
    expect(implausibleFor({ ...block, lengthMm: 65, widthMm: 151 })).toEqual([])
    expect(implausibleFor({ ...block, capacityAh: 33 })).toEqual([])
    expect(implausibleFor({ ...block, nominalVoltageV: undefined })).toEqual([])
  })

  test('raise a doubt that names what is usual', () => {
    expect(implausibleFor({ ...block, widthMm: 98 })).toEqual([
      { code: 'ATTRIBUTE_IMPLAUSIBLE', attribute: 'widthMm', found: 98, usual: [65] },
    ])
    expect(implausibleFor({ ...block, terminal: 'M5' })).toMatchObject([{ attribute: 'terminal', usual: ['F1', 'F2'] }])
  })
})
