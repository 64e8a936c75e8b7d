import { describe, expect, test } from 'vitest'
import { allConcepts } from '../../src/ontology/concepts.ts'
import type { LanguagePack } from '../../src/ontology/language.ts'
import { readLanguages, readSource } from '../../src/ontology/read-source.ts'
import { languageFaults } from '../../src/ontology/rules/languages-complete.ts'
import type { Check } from '../../src/ontology/shape.ts'

const source = readSource('ontology/source')
const packs = readLanguages('ontology/languages')

/** Every text of a pack beside the English that it stands for. */
function pairsOf({ texts }: LanguagePack): { id: string; english: string; text: string }[] {
  return allConcepts(source).flatMap(({ concept }) => {
    const { id, label } = concept
    const words = texts[id]!
    const name = { id, english: label['en-US'], text: words.label }
    if (words.ask === undefined) return [name]
    const { ask, results } = concept as Check
    const answers = results.map((result) => ({
      id: `${id} ${result.id}`,
      english: result.label['en-US'],
      text: words.results![result.id]!,
    }))
    return [name, { id, english: ask['en-US'], text: words.ask }, ...answers]
  })
}

test('there is Spanish, French and German beside English', () => {
  expect(packs.map(({ language }) => language)).toEqual(['de', 'es', 'fr'])
})

describe.each(packs.map((pack) => [pack.language, pack] as const))('the pack %s', (_, pack) => {
  test('has every label, and every question and result put to a caller', () => {
    expect(languageFaults(source, pack)).toEqual([])
  })

  test('says that it is drafted by machine and not reviewed', () => {
    expect(pack.review).toBe('machine-drafted-unreviewed')
  })

  test('keeps every figure of the English', () => {
    const figures = (text: string) => (text.match(/\d+(?:[.,]\d+)?/g) ?? []).map((figure) => figure.replace(',', '.'))
    const changed = pairsOf(pack).filter(
      ({ english, text }) => figures(english).sort().join() !== figures(text).sort().join(),
    )
    expect(changed).toEqual([])
  })

  test('asks where the English asks', () => {
    const questions = pairsOf(pack).filter(({ english }) => english.trim().endsWith('?'))
    expect(questions.filter(({ text }) => !text.includes('?'))).toEqual([])
  })

  test('is not the English again', () => {
    const sentences = pairsOf(pack).filter(({ english }) => english.split(' ').length >= 4)
    expect(sentences.filter(({ english, text }) => english === text)).toEqual([])
  })
})

describe('a pack that is not complete is refused, naming language and concept, when it', () => {
  test.each<[string, string, (texts: LanguagePack['texts']) => void]>([
    ['has no label', 'es cause/battery-absent', (texts) => delete texts['cause/battery-absent']],
    ['has no question', 'es check/ask-battery-age', (texts) => delete texts['check/ask-battery-age']!.ask],
    [
      'has no words for the results',
      'es check/ask-battery-age',
      (texts) => delete texts['check/ask-battery-age']!.results,
    ],
    [
      'is no concept of this ontology',
      'es cause/nowhere',
      (texts) => Object.assign(texts, { 'cause/nowhere': { label: 'En ninguna parte' } }),
    ],
  ])('%s', (message, id, spoil) => {
    const pack = structuredClone(packs.find(({ language }) => language === 'es')!)
    spoil(pack.texts)
    const faults = languageFaults(source, pack)
    expect(faults.map((fault) => fault.id)).toEqual([id])
    expect(faults[0]!.message).toContain(message)
    expect(faults[0]!.remedy).toContain('ontology/languages/es.json')
  })
})
