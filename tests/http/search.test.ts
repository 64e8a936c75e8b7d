import { describe, expect, test } from 'vitest'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

async function search(q: string, more = '') {
  const { status, body } = await ask(send, 'GET', `/v1/ontology/latest/concepts?q=${encodeURIComponent(q)}${more}`)
  expect(status).toBe(200)
  return body.items as { id: string; kind: string; foundIn: string; caseExact?: boolean }[]
}
const idsOf = (items: { id: string }[]) => items.slice(0, 5).map(({ id }) => id)

test.each([
  ['battery low', 'condition/battery-low'],
  ['batery low', 'condition/battery-low'],
  ['telephnoe line', 'condition/phone-line-missing'],
  ['phone line cut', 'condition/phone-line-missing'],
  ['ground falt', 'condition/ground-fault'],
])('%j finds %s among the first five', async (words, id) => {
  expect(idsOf(await search(words, '&kind=condition'))).toContain(id)
})

describe('codes and numbers', () => {
  test('are found exactly, before any words', async () => {
    const [first] = await search('301')
    expect(first).toMatchObject({ id: 'condition/mains-missing', foundIn: 'code', caseExact: true })
  })

  test('are not guessed at', async () => {
    expect(idsOf(await search('3O1'))).not.toContain('condition/mains-missing')
    expect((await search('30l')).filter(({ foundIn }) => foundIn === 'code')).toEqual([])
  })

  test('say when upper and lower case differ', async () => {
    const hit = (await search('yt')).find(({ id }) => id === 'condition/battery-low')
    expect(hit).toMatchObject({ foundIn: 'code', caseExact: false })
    const exact = (await search('YT')).find(({ id }) => id === 'condition/battery-low')
    expect(exact).toMatchObject({ foundIn: 'code', caseExact: true })
  })
})

test('words that nothing answers to find nothing', async () => {
  expect(await search('zyxwvut qqqq')).toEqual([])
})

test('a page holds only what its filters allow', async () => {
  const items = await search('battery', '&kind=remedy')
  expect(items.length).toBeGreaterThan(3)
  expect(new Set(items.map(({ kind }) => kind))).toEqual(new Set(['remedy']))
})

test('pages of a search follow each other without gap or overlap', async () => {
  const all = await ask(send, 'GET', '/v1/ontology/latest/concepts?q=battery&limit=200')
  const ids: string[] = []
  let cursor = ''
  do {
    const { body } = await ask(send, 'GET', `/v1/ontology/latest/concepts?q=battery&limit=7${cursor}`)
    ids.push(...body.items.map(({ id }: { id: string }) => id))
    cursor = body.next === undefined ? '' : `&cursor=${body.next}`
  } while (cursor !== '')
  expect(ids.slice(0, 200)).toEqual(all.body.items.map(({ id }: { id: string }) => id))
})
