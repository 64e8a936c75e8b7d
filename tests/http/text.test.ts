import { describe, expect, test } from 'vitest'
import { LIMITS } from '../../src/http/limits.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { readUtterances } from '../../src/tools/words/utterances.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const post = (body: unknown) => ask(send, 'POST', '/v1/text/interpret', body)
const interpret = async (text: string, more: object = {}) => {
  const { status, body } = await post({ text, ...more })
  expect(status).toBe(200)
  return body
}
interface Suggestion {
  finding: Record<string, unknown>
  label: string
  score: number
  matched: string[]
  confirm: string
}

describe('answers', () => {
  test('conditions with the words that speak for them and what to ask', async () => {
    const { suggestions, basis, language } = await interpret('The keypad says no AC and low battery')
    expect(suggestions[0]).toEqual({
      finding: { kind: 'condition', condition: 'condition/mains-missing', state: 'present' },
      label: 'AC power missing',
      score: expect.any(Number),
      matched: ['no', 'AC'],
      confirm: 'Is this what you mean: The system gets no house power?',
    })
    expect(suggestions[1].finding.condition).toBe('condition/battery-low')
    expect([basis.release, language]).toEqual([currentRelease().version, 'en-US'])
  })

  test('a sign of danger first and apart, confirmed by the question of its check', async () => {
    const { dangers, suggestions } = await interpret('battery low and I smell gas')
    const check = currentRelease().ontology.check.find(({ id }) => id === 'check/danger-gas-smell')!
    expect(dangers).toMatchObject([
      { finding: { kind: 'answer', check: 'check/danger-gas-smell', result: 'gas' }, confirm: check.ask['en-US'] },
    ])
    expect(suggestions.map(({ finding }: Suggestion) => finding.condition)).toContain('condition/battery-low')
  })

  test('what is denied as absent, after what stands', async () => {
    const { suggestions } = await interpret('no sensor tamper, but the phone line is missing')
    expect(suggestions.map(({ finding }: Suggestion) => [finding.condition, finding.state])).toEqual(
      expect.arrayContaining([['condition/sensor-tamper', 'absent']]),
    )
    expect(suggestions[0].finding).toMatchObject({ condition: 'condition/phone-line-missing', state: 'present' })
  })

  test('a circumstance with the question of the check that settles it', async () => {
    const { suggestions } = await interpret('we had a thunderstorm')
    expect(suggestions[0]).toMatchObject({
      finding: { kind: 'context', context: 'context/storm-recent', state: 'holds' },
      confirm: 'Has there been thunder or lightning in the last week?',
    })
  })

  test('a measurement in the unit that was said', async () => {
    const { suggestions } = await interpret('battery reads 11.4 volts')
    expect(suggestions[0].finding).toEqual({
      kind: 'reading',
      reading: 'reading/battery-rest-voltage',
      quantity: { value: 11.4, unit: 'V' },
    })
    expect(suggestions[0].confirm).toContain('Is 11.4 V this')
  })

  test.each([
    ['cell trouble', 'cell', ['condition/cellular-not-registered', 'condition/radio-sensor-battery-low']],
    ['it says AC', 'AC', ['condition/mains-missing', 'check/drops-with-machine']],
    ['ground fault', 'ground fault', ['condition/ground-fault', 'check/see-residual-button']],
    ['line trouble', 'line', ['condition/phone-line-missing', 'condition/loop-fault-open']],
    ['service light', 'service', ['condition/service-due', 'condition/cellular-account-refused']],
    ['the alarm went off', 'alarm', ['check/danger-alarm-sounding', 'context/alarm-recent']],
  ])('two meanings and one question for the words %j', async (text, word, ids) => {
    const { questions, suggestions, dangers } = await interpret(text)
    expect(questions.map((question: { word: string }) => question.word)).toEqual([word])
    const idOf = ({ finding }: Pick<Suggestion, 'finding'>) => finding.condition ?? finding.check ?? finding.context
    expect(questions[0].between.map(idOf)).toEqual(ids)
    expect([...dangers, ...suggestions].map(idOf)).toEqual(expect.arrayContaining(ids))
  })

  test('the text without codes, numbers and addresses, and repeats none of them', async () => {
    const answer = await interpret(
      '14 Maple Street, call 555-0142: battery low, my code is 4471, password is sunflower',
    )
    expect(answer.text).toBe('[address], call [phone]: battery low, my code is [code], password is [code]')
    for (const secret of ['4471', '0142', 'Maple', 'sunflower']) expect(JSON.stringify(answer)).not.toContain(secret)
  })

  test('the words that nothing answers to', async () => {
    const { suggestions, dangers, unmatched } = await interpret('Purple elephants hum softly')
    expect([suggestions, dangers, unmatched]).toEqual([[], [], ['Purple', 'elephants', 'hum', 'softly']])
  })

  test('names in the language asked for, warnings in English until they are reviewed', async () => {
    const { suggestions, dangers, language, translation } = await interpret('battery low, I smell gas', {
      language: 'es',
    })
    expect([language, translation.otherTexts]).toEqual(['es', 'en-US'])
    expect(suggestions[0].label).not.toBe('System battery low')
    expect(dangers[0]).toMatchObject({ label: 'Smell of gas', confirm: 'Do you smell gas?' })
  })

  test('over an older release, with ids of that release alone', async () => {
    const { basis, suggestions } = await interpret('no AC and low battery', { release: '0.1.0' })
    expect([basis.release, suggestions[0].finding.condition]).toEqual(['0.1.0', 'condition/mains-missing'])
  })

  test('the same for the same words', async () => {
    const text = 'no AC, zone 4 open, siren silent and the battery reads 12.2'
    expect(await interpret(text)).toEqual(await interpret(text))
  })
})

test('every suggested finding is one that a diagnosis accepts', async () => {
  const { utterances } = readUtterances('tests/cases-words/utterances.json')
  const answers = await Promise.all(utterances.map(({ text }) => interpret(text)))
  const findings = answers.flatMap(({ dangers, suggestions }) =>
    [...dangers, ...suggestions].map(({ finding }: Suggestion) => finding),
  )
  const once = [...new Map(findings.map((finding) => [JSON.stringify(finding), finding])).values()]
  expect(once.length).toBeGreaterThan(150)
  for (const finding of once) {
    const { status, body } = await ask(send, 'POST', '/v1/diagnose', { findings: [finding] })
    expect([status, body.code], JSON.stringify(finding)).toEqual([200, undefined])
  }
})

describe('refuses', () => {
  test.each([
    ['no text', {}],
    ['an empty text', { text: '' }],
    ['a text over the limit', { text: 'x'.repeat(LIMITS.textCharacters + 1) }],
    ['a text that is none', { text: 7 }],
  ])('%s, and points at it', async (_, body) => {
    const answer = await post(body)
    expect([answer.status, answer.body.errors[0].pointer]).toEqual([422, '/text'])
  })

  test('a release that is not published', async () => {
    const answer = await post({ text: 'battery low', release: '9.9.9' })
    expect([answer.status, answer.body.code]).toEqual([422, 'RELEASE_UNKNOWN'])
  })

  test('a field that it does not know', async () => {
    expect((await post({ text: 'battery low', findings: [] })).status).toBe(422)
  })
})

describe('guards', () => {
  test('a text of the greatest length is answered', async () => {
    expect((await post({ text: 'battery low '.repeat(200).slice(0, LIMITS.textCharacters) })).status).toBe(200)
  })

  test('the limit is stated among the capabilities', async () => {
    const { body } = await ask(send, 'GET', '/v1/capabilities')
    expect(body.limits.textCharacters).toBe(LIMITS.textCharacters)
  })

  test('what was sent is not repeated in a refusal', async () => {
    const { body } = await post({ text: `my code is 4471 ${'x'.repeat(LIMITS.textCharacters)}` })
    expect(JSON.stringify(body)).not.toContain('4471')
  })
})
