import { expect, test } from 'vitest'
import { conceptsCsv } from '../../../src/ontology/formats/csv.ts'
import { readSource } from '../../../src/ontology/read-source.ts'
import { KINDS, type Ontology } from '../../../src/ontology/shape.ts'
import { parseCsv } from '../../../src/services/csv.ts'

const source = readSource('ontology/source')

test.each(KINDS)('the CSV of kind %s has one row a concept, its id and label as they are', (kind) => {
  const [header, ...rows] = [...parseCsv(conceptsCsv(source, kind))].map(({ fields }) => fields)
  expect(rows.map((row) => row[header!.indexOf('id')])).toEqual(source[kind].map(({ id }) => id))
  expect(rows.map((row) => row[header!.indexOf('label@en-US')])).toEqual(
    source[kind].map(({ label }) => label['en-US']),
  )
})

test('a text that a spreadsheet would run is led by an apostrophe', () => {
  const hazard = { ...source.hazard[0]!, label: { 'en-US': '=HYPERLINK("x")' } }
  const csv = conceptsCsv({ ...source, hazard: [hazard] } as Ontology, 'hazard')
  expect(csv).toContain(`"'=HYPERLINK(""x"")"`)
})
