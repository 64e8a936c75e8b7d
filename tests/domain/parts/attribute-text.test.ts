import { readFileSync } from 'node:fs'
import { afterAll, describe, expect, test } from 'vitest'
import { readAttributes } from '../../../src/domain/parts/attribute-text/read-attributes.ts'
import type { ReadText } from '../../../src/domain/parts/attribute-text/types.ts'

const { rows } = JSON.parse(readFileSync('tests/reference/parts/attribute-parsing.json', 'utf8'))

/** Names and classes of the labelled rows, as the part classes have them. */
const NAMES: Record<string, string> = {
  apparentPowerVa: 'apparentPowerVA',
  outputCurrentA: 'currentA',
  plugInnerMm: 'barrelInnerMm',
  plugOuterMm: 'barrelOuterMm',
  breakingCapacityClass: 'breakingCapacity',
  ratedVoltageV: 'voltageV',
  designation: 'sizeName',
  soundLevelDb: 'soundPressureDb',
  conductorCount: 'conductors',
  conductorAreaMm2: 'areaMm2',
  operatingGapMm: 'gapMm',
  protocolFamily: 'familyKey',
}
const VALUES: Record<string, [name: string, value: unknown]> = {
  'centre-positive': ['polarity', 'center-plus'],
  'lead-acid-gel': ['chemistry', 'gel'],
  'UL 94 V-0': ['flameRetardantCase', true],
}
const CLASSES: Record<string, string> = {
  'battery-lead-acid': 'part-class/vrla-battery-12v',
  'battery-primary': 'part-class/block-9v-cell',
  'power-supply': 'part-class/plug-in-supply-dc',
  resistor: 'part-class/end-of-line-resistor',
}
/** The part classes know AGM and gel apart, so a sealed lead-acid battery of neither name stays open between them. */
const SEALED = 'lead-acid-vrla'

function expectedOf(attributes: Record<string, unknown>): Record<string, unknown> {
  const { minVoltageV, maxVoltageV, ...rest } = attributes
  const named = Object.entries(rest).map(([name, value]) => VALUES[String(value)] ?? [NAMES[name] ?? name, value])
  const range = minVoltageV === undefined ? [] : [['supplyVoltageV', { min: minVoltageV, max: maxVoltageV }]]
  return Object.fromEntries([...named, ...range])
}
const read = ({ given }: any): ReadText =>
  readAttributes(given.text, given.partClass && { partClass: CLASSES[given.partClass] })
const said = ({ attributes }: ReadText) =>
  Object.fromEntries(attributes.map(({ name, value, range, list }) => [name, value ?? range ?? list]))

let worst = { relative: 0, at: '' }
function agrees(id: string, name: string, found: unknown, wanted: unknown): void {
  if (typeof wanted !== 'number') {
    expect([name, found]).toEqual([name, wanted])
    return
  }
  const relative = Math.abs(Number(found) - wanted) / Math.abs(wanted)
  if (relative > worst.relative) worst = { relative, at: `${id} ${name}` }
  expect(relative, `${id} ${name}: ${found}`).toBeLessThanOrEqual(1e-12)
}
afterAll(() =>
  console.info(`attribute text: ${rows.length} rows, worst relative deviation ${worst.relative} ${worst.at}`),
)

describe('labelled titles read as the labels say', () => {
  test.each(rows as any[])('$id: $given.text', (row) => {
    const text = read(row)
    const { [row.expected.attributes.chemistry === SEALED ? 'chemistry' : '']: sealed, ...wanted } = expectedOf(
      row.expected.attributes,
    )
    const found = said(text)
    for (const [name, value] of Object.entries(wanted)) agrees(row.id, name, found[name], value)
    if (sealed) expect(text.attributes.find(({ name }) => name === 'chemistry')?.candidates).toEqual(['agm', 'gel'])
    const extra = text.attributes.filter(({ name, certainty }) => !(name in wanted) && certainty === 'stated')
    // A named size of a fuse stands beside the two measures that it is made of.
    expect(extra.map(({ name }) => name).filter((name) => name !== 'sizeName')).toEqual([])
  })

  test.each(rows as any[])('$id asks what the labels leave open, and calls nothing else ambiguous', (row) => {
    const { questions } = read(row)
    const open = row.expected.ambiguities.map(({ attribute }: any) => NAMES[attribute] ?? attribute)
    expect(questions.map(({ attribute }) => attribute)).toEqual(expect.arrayContaining(open))
    const allowed = row.expected.attributes.chemistry === SEALED ? [...open, 'chemistry'] : open
    for (const { attribute, kind } of questions) if (kind !== 'missing') expect(allowed).toContain(attribute)
    for (const { attribute, candidates } of row.expected.ambiguities)
      if (candidates)
        expect(questions.find((one) => one.attribute === (NAMES[attribute] ?? attribute))?.candidates).toEqual(
          candidates,
        )
  })
})
