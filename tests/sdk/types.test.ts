import { expect, test } from 'vitest'
import type { Answer, Input } from '../../sdk/src/index.ts'

test('a word of a later version is no type error in an answer, and a slip is one in a request', () => {
  const verdict: Answer<'checkSupply'>['verdict'] = 'a-verdict-of-a-later-version'
  // @ts-expect-error a contact is normally closed or normally open, and nothing else may be sent
  const contact: Input<'analyseLoop'>['contact'] = 'normally-shut'
  expect([typeof verdict, typeof contact]).toEqual(['string', 'string'])
})

test('what has a default may be left out of a request, and is there in an answer', () => {
  const sent: Input<'putOverlay'> = { overlay: 'sunfield' }
  const load: Input<'sizeBattery'>['loads'][number] = { standbyCurrent: { value: 120, unit: 'mA' } }
  const countOf = ({ causes, version }: Answer<'getOverlay'>): [number, string] => [causes.length, version]
  expect([sent.overlay, load.quantity, typeof countOf]).toEqual(['sunfield', undefined, 'function'])
})
