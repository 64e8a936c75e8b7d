import { describe, expect, test } from 'vitest'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const path = '/v1/parts/read'
const partClass = 'part-class/vrla-battery-12v'
const read = async (body: object) => {
  const { status, body: answer } = await ask(send, 'POST', path, body)
  expect(status, JSON.stringify(answer)).toBe(200)
  return answer
}
const refusal = async (body: object) => {
  const { status, body: answer } = await ask(send, 'POST', path, body)
  return [status, answer.code, answer.errors[0].pointer]
}

describe('POST /v1/parts/read answers', () => {
  test('what the title says, each with its place and its certainty, and what an item would carry', async () => {
    const { attributes, settled, kind, words } = await read({ text: 'Reliable 12V 7Ah SLA F1 block', partClass })
    expect(attributes).toContainEqual({
      attribute: 'capacityAh',
      value: 7,
      certainty: 'stated',
      rule: 'charge',
      span: { start: 13, end: 16, text: '7Ah' },
    })
    expect(settled).toEqual({ nominalVoltageV: 12, capacityAh: 7, terminal: 'F1' })
    expect([kind, words]).toEqual(['lead-acid', ['Reliable', 'block']])
  })

  test('what is settled fits as an item of a match', async () => {
    const { settled } = await read({ text: '12V 7Ah gel F1 151x65x94(100)mm', partClass })
    const items = [{ sku: 'A', partClass, title: 'A', attributes: settled }]
    const constraints = [
      { attribute: 'capacityAh', op: 'min', value: 7 },
      { attribute: 'heightMm', op: 'max', value: 100 },
    ]
    const { body } = await ask(send, 'POST', '/v1/parts/match', { partClass, constraints, items })
    expect(body.fits).toHaveLength(1)
  })

  test('what must be confirmed, with the candidates and how to find it on the part', async () => {
    const { confirm, settled } = await read({ text: '12V 7Ah SLA', partClass })
    const [question] = confirm
    expect(question).toMatchObject({ attribute: 'chemistry', kind: 'ambiguous', candidates: ['agm', 'gel'] })
    expect(question.find).toBeTruthy()
    expect(settled).not.toHaveProperty('chemistry')
  })

  test('both values of a conflict, and no question that a column has answered', async () => {
    const columns = { capacityAh: 9, chemistry: 'agm' }
    const { conflicts, confirm } = await read({ text: '12V 7Ah SLA', partClass, columns })
    expect(conflicts).toEqual([
      { code: 'ATTRIBUTE_CONFLICT', attribute: 'capacityAh', inText: 7, inColumn: 9, span: { start: 4, end: 7 } },
    ])
    expect(confirm).toEqual([])
  })

  test('a doubt about an unusual case, and nothing more than a doubt', async () => {
    const { doubts, conflicts } = await read({ text: '12V 7Ah', partClass, columns: { widthMm: 98 } })
    expect(doubts).toEqual([{ code: 'ATTRIBUTE_IMPLAUSIBLE', attribute: 'widthMm', found: 98, usual: [65] }])
    expect(conflicts).toEqual([])
  })

  test('the cell that a name stands for, with its hazard', async () => {
    const { cell, cautions } = await read({ text: 'CR123A 3V lithium' })
    expect(cell).toMatchObject({ designation: 'CR17345', diameterMm: 17, heightMm: 34.5, nominalVoltageV: 3 })
    expect(cautions.map(({ hazard }: { hazard: string }) => hazard)).toContain('hazard/lithium-cell')
  })

  test('a GTIN in fourteen digits, and its fault where it has one', async () => {
    expect((await read({ text: 'x', gtin: '6291041500213' })).gtin).toEqual({ isValid: true, gtin14: '06291041500213' })
    expect((await read({ text: 'x', gtin: '6.29104E+12' })).gtin.code).toBe('GTIN_SCIENTIFIC_NOTATION')
  })

  test('what the class asks and nobody has told', async () => {
    const { askFor } = await read({ text: '12V 7Ah', partClass, columns: { terminal: 'F1' } })
    const names = askFor.map(({ attribute }: { attribute: string }) => attribute)
    expect(names).toContain('heightMm')
    for (const known of ['nominalVoltageV', 'capacityAh', 'terminal']) expect(names).not.toContain(known)
  })

  test('nothing at all of a text without attributes', async () => {
    const { attributes, conflicts, words } = await read({ text: 'assorted spares' })
    expect([attributes, conflicts, words]).toEqual([[], [], ['assorted', 'spares']])
  })

  test('the same in a batch, where one bad title spoils no other', async () => {
    const items = [{ text: '12V 7Ah' }, { text: '12V', partClass: 'part-class/warp-core' }, { text: '4K7' }]
    const { body } = await ask(send, 'POST', `${path}/batch`, { items })
    expect(body.results[0].value).toEqual(await read(items[0]!))
    expect(body.results[1].problem.code).toBe('UNKNOWN_ID')
    expect(body.results[2].value.settled).toEqual({ resistanceOhm: 4700 })
  })
})

describe('POST /v1/parts/read refuses', () => {
  test('a text that is empty or too long', async () => {
    expect(await refusal({ text: '' })).toEqual([422, 'INPUT_INVALID', '/text'])
    expect(await refusal({ text: 'x'.repeat(401) })).toEqual([422, 'INPUT_INVALID', '/text'])
    await read({ text: 'x'.repeat(400) })
  })

  test('a part class that the release has not', async () => {
    expect(await refusal({ text: 'x', partClass: 'cause/battery-worn-out' })).toEqual([422, 'UNKNOWN_ID', '/partClass'])
  })

  test('a column that every object answers to', async () => {
    const [status, code] = await refusal({ text: 'x', columns: { constructor: 1 } })
    expect([status, code]).toEqual([422, 'INPUT_INVALID'])
  })
})
