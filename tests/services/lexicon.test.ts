import { readdirSync, readFileSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { describe, expect, test } from 'vitest'
import { interpret } from '../../src/domain/words/interpret.ts'
import { currentRelease, publishedReleases } from '../../src/ontology/release.ts'
import { EverydayWordsSchema } from '../../src/ontology/words.ts'
import { everydayWords } from '../../src/services/everyday-words.ts'
import { lexiconOf, preparedLexicon } from '../../src/services/lexicon.ts'
import { ReleaseShelf } from '../../src/services/release-shelf.ts'

const releaseFile = async (of: string, name: string) =>
  new Uint8Array(await readFile(`ontology/releases/${of}/${name}`))
const release = currentRelease()
const { phrases: EVERYDAY_WORDS, sameWords: SAME_WORDS, twoMeanings: TWO_MEANINGS } = everydayWords('en')!
const { ontology } = release
const lexicon = preparedLexicon(release, 'en-US')
const dangers = ontology.check.filter(({ model }) => model.kind === 'danger')
/** What is suggested as present, dangers first. */
const heard = (text: string) => {
  const { dangers: found, suggestions } = interpret(lexicon, text)
  return [...found, ...suggestions].filter(({ state }) => state === 'present').map(({ id }) => id)
}

/** Whether a key names a concept of the release and, after "=", a result of that check. */
function isKnown(key: string): boolean {
  const [id, result] = key.split('=') as [string, string?]
  const check = ontology.check.find((known) => known.id === id)
  return (
    release.concepts.has(id) && (result === undefined || check?.results.some((known) => known.id === result) === true)
  )
}

describe('the everyday words', () => {
  test.each(readdirSync('ontology/words'))('are served as %s has them', (name) => {
    const words = EverydayWordsSchema.parse(JSON.parse(readFileSync(`ontology/words/${name}`, 'utf8')))
    expect(everydayWords(words.language)).toEqual(words)
  })

  test('name only what the release has', () => {
    expect(Object.keys(EVERYDAY_WORDS).filter((key) => !isKnown(key))).toEqual([])
    expect(TWO_MEANINGS.flatMap(({ between }) => between).filter((key) => !isKnown(key))).toEqual([])
  })

  test('cover every condition with three to eight phrases, and every sign of danger with at least as many', () => {
    const count = ({ id }: { id: string }) => EVERYDAY_WORDS[id]?.length ?? 0
    expect(ontology.condition.filter((one) => count(one) < 3 || count(one) > 8)).toEqual([])
    expect(dangers.filter((one) => count(one) < 3)).toEqual([])
  })

  test('say nothing twice for one thing', () => {
    const twice = Object.entries(EVERYDAY_WORDS).filter(([, phrases]) => new Set(phrases).size < phrases.length)
    expect(twice).toEqual([])
  })

  test('each lead to what they stand for, among the first five', () => {
    const spoken = Object.entries(EVERYDAY_WORDS).filter(([key]) => !key.startsWith('reading/'))
    const lost = spoken.flatMap(([key, phrases]) =>
      phrases
        .filter((phrase) => !heard(phrase).slice(0, 5).includes(key.split('=')[0]!))
        .map((phrase) => [key, phrase]),
    )
    expect(lost).toEqual([])
  })

  test('have no word in two rows of words that mean the same', () => {
    const all = SAME_WORDS.flat()
    expect(all.filter((word, at) => all.indexOf(word) !== at)).toEqual([])
  })
})

test('the name of every condition leads to it, among the first five', () => {
  const lost = ontology.condition.filter(({ id, label }) => !heard(label['en-US']).slice(0, 5).includes(id))
  expect(lost.map(({ id }) => id)).toEqual([])
})

test('every sign of danger is reported by its own name', () => {
  for (const { id, label } of dangers)
    expect(interpret(lexicon, label['en-US']).dangers.map((one) => one.id)).toContain(id)
})

test.each(publishedReleases().map(({ release: name }) => name))(
  'release %s has a lexicon of its own ids',
  async (name) => {
    const shelf = new ReleaseShelf(releaseFile)
    const published = (await shelf.named(name))!
    const { entries } = lexiconOf(published, 'en-US')
    expect(entries.filter(({ id }) => !published.concepts.has(id))).toEqual([])
    expect(interpret(preparedLexicon(published, 'en-US'), 'battery low').suggestions.map(({ id }) => id)).toContain(
      'condition/battery-low',
    )
  },
)

test('the names of a language pack are heard in that language', async () => {
  const shelf = new ReleaseShelf(releaseFile)
  const pack = (await shelf.pack(release, 'es'))!
  const spanish = preparedLexicon(release, 'es', pack)
  const label = pack.texts['condition/battery-low']!.label
  expect(interpret(spanish, label).suggestions[0]?.id).toBe('condition/battery-low')
  expect(interpret(lexicon, label).suggestions.map(({ id }) => id)).not.toContain('condition/battery-low')
})

test('the work for one text stays within its words times the phrases, whatever it holds', () => {
  const characters = 2000
  const longest = Math.max(...lexicon.phrases.map(({ keys }) => keys.length)) + 3
  const hardest = [
    'battery low ',
    'not alarm battery sensor siren ',
    'btatery lwo sesnor ',
    'keypda sensro detcetor btatery sirne ',
    'no line cell AC service alarm ',
    'ab ',
    '7 ',
  ].map((words) => words.repeat(characters).slice(0, characters))
  const work = hardest.map((text) => interpret(lexicon, text).work)
  console.info(`most work for ${characters} characters: ${Math.max(...work)} looks`)
  for (const [at, text] of hardest.entries())
    expect(work[at]).toBeLessThanOrEqual(text.split(' ').length * lexicon.phrases.length * longest)
  expect(Math.max(...work)).toBeLessThan(1_000_000)
})
