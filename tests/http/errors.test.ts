import { expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { ask, bareApp, type Send } from '../support/service.ts'

const app = bareApp()
const send: Send = async (path, init) => app.request(path, init)
const finding = { kind: 'condition', condition: 'condition/mains-missing', state: 'present' }
const restVoltage = (quantity: unknown) => ({
  findings: [{ kind: 'reading', reading: 'reading/battery-rest-voltage', quantity }],
})

/** What goes in, and what the problem must say. */
const BAD: [title: string, body: unknown, status: number, code: string, pointer: string][] = [
  [
    'an unknown condition',
    { findings: [finding, { ...finding, condition: 'condition/mains-mising' }] },
    422,
    'UNKNOWN_ID',
    '/findings/1/condition',
  ],
  [
    'an unknown check',
    { findings: [{ kind: 'answer', check: 'check/nobody-asks', result: 'yes' }] },
    422,
    'UNKNOWN_ID',
    '/findings/0/check',
  ],
  [
    'a result the check does not have',
    { findings: [{ kind: 'answer', check: 'check/read-mains-lamp', result: 'purple' }] },
    422,
    'UNKNOWN_ID',
    '/findings/0/result',
  ],
  [
    'an unknown reading',
    { findings: [{ kind: 'reading', reading: 'reading/mood', quantity: { value: 1, unit: 'V' } }] },
    422,
    'UNKNOWN_ID',
    '/findings/0/reading',
  ],
  [
    'an unknown context',
    { findings: [{ kind: 'context', context: 'context/full-moon', state: 'holds' }] },
    422,
    'UNKNOWN_ID',
    '/findings/0/context',
  ],
  [
    'a unit of another dimension',
    restVoltage({ value: 12, unit: 'mA' }),
    422,
    'UNIT_MISMATCH',
    '/findings/0/quantity/unit',
  ],
  ['an unknown unit', restVoltage({ value: 12, unit: 'furlong' }), 422, 'UNKNOWN_UNIT', '/findings/0/quantity/unit'],
  [
    'a voltage no battery has',
    restVoltage({ value: 4000, unit: 'V' }),
    422,
    'QUANTITY_OUT_OF_RANGE',
    '/findings/0/quantity/value',
  ],
  [
    'a number written as a word',
    restVoltage({ value: '12', unit: 'V' }),
    422,
    'INPUT_INVALID',
    '/findings/0/quantity/value',
  ],
  ['an unknown release', { findings: [], release: '9.9.9' }, 422, 'RELEASE_UNKNOWN', '/release'],
  ['a field that is not known', { findings: [], colour: 'red' }, 422, 'INPUT_INVALID', '/colour'],
  [
    'a reliability under one half',
    { findings: [{ ...finding, reliability: 0.2 }] },
    422,
    'INPUT_INVALID',
    '/findings/0/reliability',
  ],
  ['201 findings', { findings: Array.from({ length: 201 }, () => finding) }, 422, 'INPUT_INVALID', '/findings'],
  ['no findings at all', {}, 422, 'INPUT_INVALID', '/findings'],
  ['a list as the body', [], 422, 'INPUT_INVALID', ''],
  [
    'a limit of time in volts',
    { findings: [], limits: { duration: { value: 5, unit: 'V' } } },
    422,
    'UNIT_MISMATCH',
    '/limits/duration/unit',
  ],
  ['malformed JSON', '{"findings": [', 400, 'BODY_MALFORMED', ''],
  [
    'a number that is not finite',
    '{"findings":[{"kind":"reading","reading":"reading/battery-rest-voltage","quantity":{"value":1e999,"unit":"V"}}]}',
    422,
    'INPUT_INVALID',
    '/findings/0/quantity/value',
  ],
]

test.each(BAD)('diagnose refuses %s', async (_, body, status, code, pointer) => {
  const answer = await ask(send, 'POST', '/v1/diagnose', body)
  expect(answer.status).toBe(status)
  expect(answer.headers.get('Content-Type')).toBe('application/problem+json')
  expect(answer.body.code).toBe(code)
  expect(answer.body.type).toBe(`/problems/${code.toLowerCase().replaceAll('_', '-')}`)
  if (answer.body.errors.length > 0) expect(answer.body.errors[0].pointer).toBe(pointer)
  expect(JSON.stringify(answer.body)).not.toMatch(/\bat .*\.ts|node_modules|stack/)
})

test('a refusal names the limit and the value', async () => {
  const { body } = await ask(send, 'POST', '/v1/diagnose', restVoltage({ value: 4000, unit: 'V' }))
  expect(body.errors[0]).toMatchObject({ value: 4000 })
  expect(String(body.errors[0].limit)).toMatch(/ to /)
})

test('a body of 2 MB is refused with the limit', async () => {
  const { status, body } = await ask(
    send,
    'POST',
    '/v1/diagnose',
    JSON.stringify({ findings: [], pad: 'x'.repeat(2_000_000) }),
  )
  expect(status).toBe(413)
  expect(body.errors[0]).toMatchObject({ code: 'BODY_TOO_LARGE', limit: 1024 * 1024 })
})

test.each(['text/plain', 'application/xml', 'multipart/form-data'])('a body of type %s is refused', async (type) => {
  const { status, body } = await ask(send, 'POST', '/v1/diagnose', '{"findings":[]}', { 'Content-Type': type })
  expect([status, body.code]).toEqual([415, 'MEDIA_TYPE_UNSUPPORTED'])
})

test('a body without a content type is refused', async () => {
  const { status, body } = await ask(
    async (path, init) => {
      const request = new Request(`http://localhost${path}`, {
        ...init,
        headers: {},
        body: new TextEncoder().encode('{"findings":[]}'),
      })
      request.headers.delete('Content-Type')
      return app.fetch(request)
    },
    'POST',
    '/v1/diagnose',
    '{}',
  )
  expect([status, body.code]).toEqual([415, 'MEDIA_TYPE_UNSUPPORTED'])
})

test.each([
  ['/v1/diagnose', 'GET', 'POST'],
  ['/v1/diagnose', 'DELETE', 'POST'],
  ['/v1/capabilities', 'POST', 'GET'],
])('%s refuses %s and names what it offers', async (path, method, allowed) => {
  const { status, body, headers } = await ask(send, method, path)
  expect([status, body.code]).toEqual([405, 'METHOD_NOT_ALLOWED'])
  expect(headers.get('Allow')).toContain(allowed)
})

test('a path that does not exist is a problem too', async () => {
  const { status, body } = await ask(send, 'GET', '/v2/everything')
  expect([status, body.code]).toEqual([404, 'NOT_FOUND'])
})

test.each(['/v1/capabilities', '/v1/ontology', '/'])('%s refuses to answer as an image', async (path) => {
  const { status, body } = await ask(send, 'GET', path, undefined, { Accept: 'image/png' })
  expect([status, body.code]).toEqual([406, 'NOT_ACCEPTABLE'])
})

test('an unknown release in a path is 404 and never another release', async () => {
  const { status, body } = await ask(send, 'GET', '/v1/ontology/9.9.9')
  expect([status, body.code]).toEqual([404, 'RELEASE_UNKNOWN'])
  expect(body.errors[0].limit).toContain(currentRelease().version)
})

test('every problem has a page of its own', async () => {
  const { status, body } = await ask(send, 'GET', '/problems/unknown-id')
  expect([status, body.code]).toEqual([200, 'UNKNOWN_ID'])
})

test('an unforeseen fault is a 500 with a constant text', async () => {
  const broken = bareApp()
  broken.get('/boom', () => {
    throw new Error('secret detail')
  })
  const { status, body } = await ask(async (path, init) => broken.request(path, init), 'GET', '/boom')
  expect([status, body.code]).toEqual([500, 'INTERNAL'])
  expect(JSON.stringify(body)).not.toContain('secret')
})
