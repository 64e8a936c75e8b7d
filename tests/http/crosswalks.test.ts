import { describe, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const BASE = '/v1/ontology/latest/crosswalks'
const get = (path: string) => ask(send, 'GET', BASE + path)
const translate = (items: object[]) => ask(send, 'POST', `${BASE}/translate`, { items })

test('the standards that lead to this ontology are listed with their counts', async () => {
  const { body } = await get('')
  expect(body.schemes.map(({ scheme }: { scheme: string }) => scheme)).toEqual(['dc-03', 'dc-05', 'en-50131-1'])
  for (const { codes, mapped } of body.schemes) expect(mapped).toBeLessThanOrEqual(codes)
})

test('every trouble code of every standard leads to a released concept or says why none answers to it', async () => {
  for (const { scheme } of currentRelease().ontology.crosswalks) {
    let next: string | undefined
    let seen = 0
    do {
      const { body } = await get(`/${scheme}?trouble=true&limit=100${next === undefined ? '' : `&cursor=${next}`}`)
      for (const { code, mappings, noEquivalent } of body.items) {
        expect(mappings.length > 0, `${scheme} ${code}`).toBe(noEquivalent === undefined)
        for (const { concept } of mappings) expect(currentRelease().concepts.has(concept), concept).toBe(true)
      }
      seen += body.items.length
      next = body.next
      if (next === undefined) expect(seen).toBe(body.total)
    } while (next !== undefined)
  }
})

describe('one code', () => {
  test('leads to its condition with a relation, a SKOS property and a basis', async () => {
    const { body } = await get('/dc-05/301')
    expect(body.mappings).toContainEqual({
      concept: 'condition/mains-missing',
      relation: 'equivalent',
      skos: 'exactMatch',
      basis: 'judgement',
    })
  })

  test('names the code of another standard that stands for the same', async () => {
    const { body } = await get('/dc-05/301')
    expect(body.elsewhere).toContainEqual(
      expect.objectContaining({ scheme: 'dc-03', code: 'AT', relation: 'equivalent' }),
    )
    const back = await get('/dc-03/AT')
    expect(back.body.elsewhere).toContainEqual(expect.objectContaining({ scheme: 'dc-05', code: '301' }))
  })

  test('counts upper and lower case', async () => {
    expect((await get('/dc-03/at')).status).toBe(404)
  })

  test('of an unknown standard is not found, and the known ones are named', async () => {
    const { status, body } = await get('/dc-99/301')
    expect([status, body.detail]).toEqual([404, expect.stringContaining('dc-05')])
  })
})

describe('translating many at once', () => {
  test('goes both ways, in the order sent', async () => {
    const { body } = await translate([
      { scheme: 'dc-05', code: '302' },
      { concept: 'condition/battery-low' },
      { concept: 'condition/battery-low', scheme: 'dc-03' },
    ])
    const [forward, reverse, one] = body.results.map(({ value }: { value: any }) => value)
    expect(forward.concepts.map(({ concept }: { concept: string }) => concept)).toContain('condition/battery-low')
    expect(reverse.codes.map(({ code }: { code: string }) => code)).toContain('302')
    expect(new Set(one.codes.map(({ scheme }: { scheme: string }) => scheme))).toEqual(new Set(['dc-03']))
  })

  test('answers a problem for what is unknown and a value for the rest', async () => {
    const { status, body } = await translate([
      { scheme: 'dc-05', code: '999' },
      { scheme: 'dc-99', code: '301' },
      { concept: 'condition/nowhere' },
      { scheme: 'dc-05', code: '301' },
    ])
    expect(status).toBe(200)
    const codes = body.results.map((result: any) => result.problem?.errors[0].pointer ?? 'value')
    expect(codes).toEqual(['/code', '/scheme', '/concept', 'value'])
  })

  test('says why nothing answers to a code', async () => {
    const { body } = await translate([{ scheme: 'dc-05', code: '335' }])
    expect(body.results[0].value).toMatchObject({ concepts: [], noEquivalent: expect.any(String) })
  })
})
