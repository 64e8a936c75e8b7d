import { Ajv2020 } from 'ajv/dist/2020.js'
import { expect, test } from 'vitest'
import { publishedJsonSchema } from '../../../src/ontology/formats/json-schema.ts'
import { IRI_BASE } from '../../../src/ontology/formats/predicates.ts'
import { readSource } from '../../../src/ontology/read-source.ts'

const ajv = new Ajv2020({ strict: false, validateFormats: false })
const accepts = ajv.compile(publishedJsonSchema())
const source = readSource('ontology/source')
const document = (): any => structuredClone({ release: '9.9.9', licence: 'CC BY 4.0', iriBase: IRI_BASE, ...source })

test('an independent validator accepts the ontology', () => {
  expect([accepts(document()), accepts.errors]).toEqual([true, null])
})

const BROKEN: [string, (broken: any) => void][] = [
  ['without a release', (broken) => delete broken.release],
  ['with a version of two numbers', (broken) => (broken.release = '1.0')],
  ['with a list of hazards that is a map', (broken) => (broken.hazard = {})],
  ['with a condition without label', (broken) => delete broken.condition[0].label],
  ['with a label without en-US', (broken) => delete broken.cause[0].label['en-US']],
  ['with an id of the wrong kind', (broken) => (broken.cause[0].id = 'check/nonsense')],
  ['with an id in capitals', (broken) => (broken.cause[0].id = 'cause/Battery')],
  ['with an unknown nature', (broken) => (broken.condition[0].nature = 'annoying')],
  ['with a probability above one', (broken) => (broken.condition[0].leak = { value: 1.5, basis: 'judgement' })],
  ['with a number of no basis', (broken) => (broken.condition[0].leak = { value: 0.5 })],
  ['with a field that nobody knows', (broken) => (broken.remedy[0].brand = 'x')],
  ['with a negative duration', (broken) => (broken.check[0].minutes.value = -1)],
]

test.each(BROKEN)('it rejects a document %s', (_, how) => {
  const broken = document()
  how(broken)
  expect(accepts(broken)).toBe(false)
})
