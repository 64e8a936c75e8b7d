import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { type DecodedDesignation, decodeDesignation } from '../../../src/domain/parts/designations/decode.ts'
import { CELL_NAMES, designationsOf } from '../../../src/domain/parts/designations/names.ts'
import { envelopeOf } from '../../../src/domain/parts/designations/sizes.ts'
import { SYSTEMS } from '../../../src/domain/parts/designations/systems.ts'

const { rows } = JSON.parse(readFileSync('tests/reference/parts/designations.json', 'utf8'))
const tables = JSON.parse(readFileSync('tests/reference/parts/tables.json', 'utf8'))

let worst = 0
let compared = 0
const near = (found: number | undefined, printed: string) => {
  compared++
  worst = Math.max(worst, Math.abs(Number(found) - Number(printed)))
  expect(found).toBeCloseTo(Number(printed), 9)
}
afterAll(() => console.info(`designations: ${compared} numbers, worst deviation ${worst}`))

function decoded(text: string): DecodedDesignation {
  const found = decodeDesignation(text)
  if (found.kind !== 'decoded') throw new Error(`${text}: ${found.kind}`)
  return found
}

describe('designations of the reference rows', () => {
  test.each(rows as any[])('$id $given.designation', ({ given, expected }) => {
    const found: Record<string, any> = decoded(given.designation)
    const {
      aliases = [],
      resolvesTo,
      isSystematicDesignation,
      decodable,
      chemistry,
      nominalVoltageV,
      ...rest
    } = expected
    expect(found.aliases).toEqual(expect.arrayContaining(aliases))
    if (resolvesTo) {
      expect([found.designation, found.resolvedFrom]).toEqual([resolvesTo, given.designation])
      expect(isSystematicDesignation).toBe(false)
    }
    if (decodable) expect(found.how).toBe(decodable)
    if (chemistry !== undefined) expect(found.chemistry ?? null).toBe(chemistry)
    if (typeof nominalVoltageV === 'string') near(found.nominalVoltageV, nominalVoltageV)
    if (nominalVoltageV === null) expect(found.nominalVoltageV).toBeUndefined()
    for (const [name, value] of Object.entries(rest))
      if (name.endsWith('Mm')) near(found[name], value as string)
      else expect([name, found[name]]).toEqual([name, value])
  })
})

describe('tables of the reference', () => {
  test('every system with its voltage', () => {
    for (const { letter, ...row } of tables.chemistry.rows) {
      const { nominalVoltageV, ...system } = SYSTEMS.get(letter)!
      near(nominalVoltageV, row.nominalVoltageV)
      expect(system).toEqual({ chemistry: row.chemistry, rechargeable: row.rechargeable })
    }
  })

  test('every numbered size, by its largest measures', () => {
    for (const { size, diameterMaxMm, heightMaxMm } of tables.roundSizes.rows) {
      near(envelopeOf(size.slice(1))?.diameterMm, diameterMaxMm)
      near(envelopeOf(size.slice(1))?.heightMm, heightMaxMm)
    }
  })

  test('every recommended diameter', () => {
    for (const [code, printed] of Object.entries(tables.recommendedDiameters.rows))
      near(envelopeOf(`${code}${code.length === 1 ? '32' : '500'}`)?.diameterMm, printed as string)
  })

  test('every cross-name leads to its designation', () => {
    // "AA 3.6 V" is a name with its voltage, for the reader of texts and not for this table.
    for (const { iec, ansi, jis, trade } of tables.aliases)
      for (const name of [ansi, jis, ...trade])
        if (name && name !== 'AA 3.6 V')
          expect([name, designationsOf(name)]).toEqual([name, expect.arrayContaining([iec])])
  })
})

test('the cell of the name CR2 is the short one, not the 35.5 mm that a copied list gives', () => {
  const { designation, heightMm } = decoded('CR2')
  expect([designation, heightMm]).toEqual(['CR15H270', 27])
  expect(decoded('CR17355').heightMm).toBe(35.5)
})

test('a battery of several cells never takes its outside from the digits', () => {
  const { diameterMm, heightMm, cellDiameterMm, needsConfirmation } = decoded('4LR44')
  expect([diameterMm, heightMm, cellDiameterMm, needsConfirmation]).toEqual([
    undefined,
    undefined,
    11.6,
    ['dimensions'],
  ])
})

test('a size that several systems share gives them all', () => {
  expect(decodeDesignation('AA')).toEqual({ kind: 'several', name: 'AA', designations: ['LR6', 'R6', 'FR6'] })
})

test('what is no designation is kept as it was written', () => {
  for (const text of ['', 'CR', 'hello', 'CR99999', 'LR8D42', '0LR6'])
    expect(decodeDesignation(text)).toEqual({ kind: 'undecodable', text })
})

test('names fold blanks, hyphens and case', () => {
  for (const spelling of ['CR123A', 'cr-123a', 'CR 123A', 'CR123'])
    expect(decoded(spelling).designation).toBe('CR17345')
})

test('the voltage grows with the cells in series and not with the groups in parallel', () => {
  const count = fc.integer({ min: 1, max: 12 })
  fc.assert(
    fc.property(count, fc.constantFrom('L', 'C', 'E', 'K'), fc.integer({ min: 2, max: 9 }), (cells, system, groups) => {
      const volts = decoded(`${cells}${system}R14`).nominalVoltageV!
      expect(volts).toBeCloseTo(cells * SYSTEMS.get(system)!.nominalVoltageV, 9)
      expect(decoded(`${cells}${system}R14-${groups}`).nominalVoltageV).toBe(volts)
    }),
  )
})

test('every designation of the table of names decodes', () => {
  for (const { iec } of CELL_NAMES) expect(decodeDesignation(iec)).toMatchObject({ kind: 'decoded', designation: iec })
})
