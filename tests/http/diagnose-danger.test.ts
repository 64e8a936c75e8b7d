import { describe, expect, test } from 'vitest'
import { createApp } from '../../src/app.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { send } from '../support/hostile.ts'
import { ask, type Send } from '../support/service.ts'

const { checks } = currentRelease().compiled
const dangers = checks.flatMap(({ id, model }) =>
  model.kind === 'danger' ? [{ kind: 'answer', check: id, result: model.sign }] : [],
)
const [sign] = dangers as [(typeof dangers)[number], ...typeof dangers]
const missing = (device: number) => ({
  kind: 'condition',
  condition: 'condition/radio-device-missing',
  state: 'present',
  device: `device ${device}`,
})

const sent = (body: unknown) => ask(send, 'POST', '/v1/diagnose', body)

const WRONG: [string, { findings?: object[]; [field: string]: unknown }, string][] = [
  ['an unknown condition', { findings: [{ ...missing(1), condition: 'condition/none-such' }] }, 'UNKNOWN_ID'],
  [
    'an unknown result',
    { findings: [{ kind: 'answer', check: 'check/read-mains-lamp', result: 'purple' }] },
    'UNKNOWN_ID',
  ],
  ['an unknown code', { findings: [{ kind: 'signal', scheme: 'dc-05', code: '0' }] }, 'UNKNOWN_ID'],
  [
    'a reading out of range',
    { findings: [{ kind: 'reading', reading: 'reading/battery-rest-voltage', quantity: { value: 500, unit: 'V' } }] },
    'QUANTITY_OUT_OF_RANGE',
  ],
  [
    'a unit of another dimension',
    { findings: [{ kind: 'reading', reading: 'reading/battery-rest-voltage', quantity: { value: 5, unit: 'A' } }] },
    'UNIT_MISMATCH',
  ],
  [
    'a device on a circumstance of the whole system',
    { findings: [{ kind: 'context', context: 'context/storm-recent', state: 'holds', device: 'hall' }] },
    'DEVICE_NOT_TAKEN',
  ],
  ['a time below nothing', { limits: { duration: { value: -1, unit: 'min' } } }, 'QUANTITY_OUT_OF_RANGE'],
  [
    'more devices than a request takes',
    { findings: Array.from({ length: 65 }, (_, at) => missing(at)) },
    'INPUT_INVALID',
  ],
  ['more findings than a request takes', { findings: Array.from({ length: 201 }, () => missing(0)) }, 'INPUT_INVALID'],
  ['a field that there is not', { findings: [{ ...missing(1), colour: 'red' }] }, 'INPUT_INVALID'],
  ['an overlay that cannot be read for want of a database', { overlay: 'none-such' }, 'UNAVAILABLE'],
  ['a release that there is not', { release: '99.0.0' }, 'RELEASE_UNKNOWN'],
  ['rates that there are not', { rates: 'none-such' }, 'INPUT_INVALID'],
]

describe('danger questions', () => {
  test('begin with what kills soonest, whatever stands', async () => {
    const { body } = await sent({ findings: [missing(1)] })
    const asked = body.dangerQuestions.map(({ check }: { check: string }) => check)
    expect(asked.slice(0, 4)).toEqual([
      'check/danger-burning',
      'check/danger-co-or-unwell',
      'check/danger-gas-smell',
      'check/danger-intruder',
    ])
    expect([...asked].sort()).toEqual(dangers.map(({ check }) => check).sort())
    expect(body.silence.askFirst[0]).toBe('check/danger-burning')
  })
})

describe('a sign of danger in a request that cannot be answered otherwise', () => {
  test.each(WRONG)(
    'stops everything beside %s, and says what was refused',
    async (_, { findings = [], ...rest }, code) => {
      const { status, body } = await sent({ ...rest, findings: [...findings, sign] })
      expect([status, body.stop.kind, body.stop.acts.length, body.problem.code]).toEqual([200, 'danger', 1, code])
      expect([body.nextChecks, body.plan, body.causes]).toEqual([[], [], []])
      expect(body.unused).toEqual(findings.map((_finding, at) => at))
    },
  )

  test.each(WRONG)('but without a sign it is refused for %s', async (_, { findings = [], ...rest }, code) => {
    const { status, body } = await sent({ ...rest, findings: [...findings, { ...sign, result: 'dont-know' }] })
    expect([status >= 400, body.code]).toEqual([true, code])
  })

  test.each(dangers)('is heard whichever it is: $check', async (danger) => {
    const { body } = await sent({ findings: [danger, { ...missing(1), colour: 'red' }] })
    expect([body.stop.kind, body.problem.code]).toEqual(['danger', 'INPUT_INVALID'])
  })

  test('is worded in the language that was asked for', async () => {
    const { body } = await sent({ language: 'de', release: '99.0.0', findings: [sign] })
    expect([body.language, body.basis.release]).toEqual(['de', currentRelease().version])
  })

  test.each([[null], [7], [[]], [{}], [{ findings: sign }], [{ findings: [null, 3, 'x', [sign]] }]])(
    'is looked for in no body that has no findings: %j',
    async (body) => {
      const { status } = await sent(body)
      expect(status).toBe(422)
    },
  )

  test('is answered from the current edition while the files of another cannot be read', async () => {
    const app = createApp({ openApiDocument: async () => '{}', releaseFile: async () => undefined })
    const damaged: Send = async (path, init) => app.request(path, init)
    const { status, body } = await ask(damaged, 'POST', '/v1/diagnose', {
      release: '0.1.0',
      language: 'de',
      findings: [sign],
    })
    expect([status, body.stop.kind, body.problem.code]).toEqual([200, 'danger', 'INTERNAL'])
    expect([body.language, body.basis.release]).toEqual(['en-US', currentRelease().version])
  })

  test('leaves no plan, and so nothing that a plan would cost', async () => {
    const { body } = await sent({ findings: [missing(1), sign] })
    expect([body.plan, body.planCost.duration.value, body.planCost.visitProbability]).toEqual([[], 0, 0])
  })

  test('leaves nothing to say of a problem where all is well', async () => {
    const { body } = await sent({ findings: [sign] })
    expect([body.stop.kind, 'problem' in body]).toEqual(['danger', false])
  })
})

test('an alarm among the signals is no finding of trouble, and its danger is asked about before anything else', async () => {
  const low = { kind: 'condition', condition: 'condition/battery-low', state: 'present' }
  const duress = { kind: 'signal', scheme: 'dc-05', code: '121' }
  const { body } = await sent({ findings: [low, duress] })
  expect(body.unused).toEqual([1])
  expect(body.nextChecks.map(({ check }: { check: string }) => check)).toEqual(['check/danger-intruder'])
  expect(body.dangerQuestions[0].check).toBe('check/danger-intruder')
  const over = await sent({ findings: [low, { ...duress, state: 'absent' }] })
  expect(over.body.nextChecks.length).toBeGreaterThan(1)
})
