import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import type { LanguagePack } from '../../src/ontology/language.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { checksOf, condition, diagnose, POWER, post, ranking, screen } from '../support/calls.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const { version, ontology } = currentRelease()
const packOf = (language: string): LanguagePack =>
  JSON.parse(readFileSync(`ontology/releases/${version}/language-${language}.json`, 'utf8'))
const [spanish, french] = [packOf('es'), packOf('fr')]
const english = (id: string) => ontology.check.find((check) => check.id === id)!

interface Asked {
  check: string
  label: string
  ask: string
  results: { id: string; label: string }[]
}

describe('a language drafted by machine', () => {
  test('names causes and asks harmless questions in that language', async () => {
    const { causes, nextChecks } = await diagnose(POWER, { language: 'es' })
    for (const { cause, label } of causes) expect(label).toBe(spanish.texts[cause]!.label)
    const harmless = (nextChecks as Asked[]).filter(({ check }) => english(check).hazards.length === 0)
    expect(harmless.length).toBeGreaterThan(0)
    for (const { check, ask: question } of harmless) expect(question).toBe(spanish.texts[check]!.ask)
  })

  test('never words a danger, a hazard or a check that has one', async () => {
    const calls = await Promise.all(
      [POWER, [condition('battery-low'), screen(true)], [condition('radio-sensor-battery-low')]].map((findings) =>
        diagnose(findings, { language: 'es' }),
      ),
    )
    const asked = calls.flatMap(({ nextChecks }) => nextChecks as Asked[])
    const risky = asked.filter(({ check }) => english(check).hazards.length > 0)
    expect(risky.length).toBeGreaterThan(0)
    for (const { check, ask: question, results } of risky) {
      expect(question).toBe(english(check).ask['en-US'])
      expect(results.map(({ label }) => label)).toEqual(english(check).results.map(({ label }) => label['en-US']))
    }
    for (const { cautions } of calls)
      for (const { hazard, label } of cautions)
        expect(label).toBe(ontology.hazard.find(({ id }) => id === hazard)!.label['en-US'])
    for (const { dangerQuestions = [] } of calls)
      for (const { check, ask: question } of dangerQuestions) expect(question).toBe(english(check).ask['en-US'])
  })

  test('is stated with its review, what it covers and what stays English', async () => {
    const { language, translation } = await diagnose(POWER, { language: 'es' })
    expect(language).toBe('es')
    expect(translation).toEqual({
      review: 'machine-drafted-unreviewed',
      covers: ['label', 'ask', 'results'],
      otherTexts: 'en-US',
      safetyTexts: 'en-US',
    })
  })

  test('changes no probability and no order of checks', async () => {
    const [es, en] = await Promise.all([diagnose(POWER, { language: 'es' }), diagnose(POWER)])
    expect(ranking(es)).toEqual(ranking(en))
    expect(checksOf(es)).toEqual(checksOf(en))
  })
})

test.each([
  ['es-MX', 'es'],
  ['FR-ca', 'fr'],
  ['de', 'de'],
  ['en-AU', 'en-US'],
  ['en', 'en-US'],
  ['pt-BR', 'en-US'],
])('a wish for %s is served %s, in body and header', async (wish, tag) => {
  const { body, headers } = await post(POWER, { language: wish })
  expect([body.language, headers.get('Content-Language')]).toEqual([tag, tag])
})

test('the page of a concept is named in the language that the reader accepts', async () => {
  const response = await send('/id/cause/battery-worn-out', {
    headers: { Accept: 'text/html', 'Accept-Language': 'fr-CH, en;q=0.5' },
  })
  const page = await response.text()
  expect(response.headers.get('Content-Language')).toBe('fr')
  expect(page).toContain(french.texts['cause/battery-worn-out']!.label)
})

test('a concept as data carries its names in every language', async () => {
  const { body } = await ask(send, 'GET', '/v1/ontology/latest/concepts/cause/battery-worn-out')
  expect(JSON.stringify(body)).toContain(french.texts['cause/battery-worn-out']!.label)
})
