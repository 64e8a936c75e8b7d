import { readFileSync } from 'node:fs'
import { Ajv2020 } from 'ajv/dist/2020.js'
import { describe, expect, test } from 'vitest'
import { answerTo, cutTo, shownIn } from '../../src/tools/openapi/answers.ts'
import { send } from '../support/hostile.ts'

/** Answers that the document shows are those of the service. */

const document = JSON.parse(readFileSync('openapi/openapi.json', 'utf8'))
const SHOWN = shownIn(document).map((shown) => {
  const { schema, examples } = shown.operation.responses[200].content['application/json']
  return { ...shown, operationId: shown.operation.operationId as string, schema, answer: examples?.answer }
})

/** Every way from the top to a field, whatever its place in a list. */
function fieldsOf(value: unknown, at = ''): Set<string> {
  if (typeof value !== 'object' || value === null) return new Set([at])
  const inner = Object.entries(value).flatMap(([key, field]) => [
    ...fieldsOf(field, Array.isArray(value) ? `${at}/*` : `${at}/${key}`),
  ])
  return new Set([at, ...inner])
}

const ajv = new Ajv2020({ strict: false, validateFormats: false })
ajv.addSchema(document, 'document')

test('the operations that a newcomer tries first show an answer', () => {
  expect(SHOWN.map(({ operationId }) => operationId).sort()).toEqual([
    'diagnose',
    'getConcept',
    'matchParts',
    'sizeBattery',
  ])
})

describe.each(SHOWN)('the answer of $operationId', ({ schema, answer, most, ...shown }) => {
  test('fits its schema in the document', () => {
    const validate = ajv.compile({ $ref: `document${schema.$ref}` })
    expect([validate(answer.value), validate.errors]).toEqual([true, null])
    const [required] = Object.keys(answer.value)
    const { [required!]: _, ...lacking } = answer.value
    const isRequired = document.components.schemas[schema.$ref.split('/').at(-1)].required.includes(required)
    expect(validate(lacking)).toBe(!isRequired)
  })

  test('has the fields that the service answers today, and no other', async () => {
    const live = await answerTo(document, shown as never, send)
    expect(fieldsOf(answer.value)).toEqual(fieldsOf(cutTo(live, most)))
    expect(Object.keys(answer.value)).toEqual(Object.keys(live as object).sort())
  })

  test('says how it was made', () => {
    expect(answer.summary).toMatch(/^What the service answers to the example/)
    expect(answer.summary.includes('cut after')).toBe(Number.isFinite(most))
  })
})

test('a cut shortens lists and nothing else, and none that speaks of dangers', () => {
  const value = { a: [1, 2, [3, 4, 5]], b: 'text', cautions: [1, 2, 3], c: { d: [{ e: [1, 2, 3] }] } }
  expect(cutTo(value, 2)).toEqual({ a: [1, 2], b: 'text', cautions: [1, 2, 3], c: { d: [{ e: [1, 2] }] } })
})
