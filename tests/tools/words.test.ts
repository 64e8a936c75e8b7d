import { expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { preparedLexicon } from '../../src/services/lexicon.ts'
import { hear, scoreOf } from '../../src/tools/words/score.ts'
import { isSetAside, readUtterances, UTTERANCES_SHA256 } from '../../src/tools/words/utterances.ts'

const { utterances, sha256 } = readUtterances('tests/cases-words/utterances.json')
const release = currentRelease()
const heard = utterances.map((utterance) => hear(preparedLexicon(release, 'en-US'), utterance))

test('the utterances are those that were set down before anything was tuned to them', () => {
  expect(sha256).toBe(UTTERANCES_SHA256)
  expect(utterances.length).toBeGreaterThanOrEqual(220)
})

test('every id that an utterance speaks of is known to the release', () => {
  const ids = utterances.flatMap(({ expect: meant, negated = [] }) => [...meant, ...negated])
  expect(ids.filter((id) => !release.concepts.has(id))).toEqual([])
})

test('every condition and every sign of danger is spoken of', () => {
  const meant = new Set(utterances.flatMap((utterance) => utterance.expect))
  const { condition, check } = release.ontology
  const all = [...condition, ...check.filter(({ model }) => model.kind === 'danger')]
  expect(all.filter(({ id }) => !meant.has(id)).map(({ id }) => id)).toEqual([])
})

test('about half of the utterances are set aside, whatever their order', () => {
  const aside = utterances.filter(isSetAside).length / utterances.length
  expect(aside).toBeGreaterThan(0.4)
  expect(aside).toBeLessThan(0.6)
})

test.each([
  ['tuned', false],
  ['set aside', true],
])(
  'of the half %s, most first suggestions are meant and most of what is meant is among the first five',
  (half, isAside) => {
    const score = scoreOf(heard.filter(({ utterance }) => isSetAside(utterance) === isAside))
    console.info(half, JSON.stringify(score))
    expect(score.precisionFirst).toBeGreaterThanOrEqual(0.85)
    expect(score.recallFirstFive).toBeGreaterThanOrEqual(0.85)
  },
)

test('every sign of danger that is meant is reported', () => {
  expect(scoreOf(heard).recallDangers).toBe(1)
})

test('what speaks of no trouble gets no suggestion', () => {
  expect(scoreOf(heard).silent).toBe(1)
})
