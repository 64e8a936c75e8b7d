import { describe, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { everydayWords } from '../../src/services/everyday-words.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const { concepts, ontology, manifest } = currentRelease()
const dangers = ontology.check.filter(({ model }) => model.kind === 'danger').map(({ id }) => id)

interface Suggested {
  check?: string
  condition?: string
  state?: string
}
async function heard(language: string, text: string) {
  const { status, body } = await ask(send, 'POST', '/v1/text/interpret', { language, text })
  expect(status).toBe(200)
  const found = (list: { finding: Suggested }[]) => list.map(({ finding }) => finding)
  return { dangers: found(body.dangers), suggestions: found(body.suggestions) }
}

describe('the everyday words of another language', () => {
  const languages = manifest.languages!.map(({ language }) => language)

  test('are there for every language of the release and name only what it has', () => {
    expect(languages.filter((language) => everydayWords(language) === undefined)).toEqual([])
    const keys = languages.flatMap((language) => Object.keys(everydayWords(language)?.phrases ?? {}))
    expect(keys.filter((id) => !concepts.has(id))).toEqual([])
  })

  test.each(languages)('%s: every sign of danger has at least three phrases', (language) => {
    const table = everydayWords(language)!.phrases
    expect(dangers.filter((id) => (table[id]?.length ?? 0) < 3)).toEqual([])
  })
})

describe('a sign of danger in another language comes first', () => {
  test.each([
    ['es', 'hola, desde anoche en el cuarto de la caja huele mucho a quemado', 'check/danger-burning'],
    ['es', 'creo que mi hijo se tragó una pila del mando', 'check/danger-swallowed-cell'],
    ['es', 'la batería grande está hinchada', 'check/danger-battery-swollen'],
    ['fr', 'bonjour, depuis ce matin ça sent le brûlé près du boîtier', 'check/danger-burning'],
    ['fr', "il y a de l'eau sur la prise de la centrale", 'check/danger-water'],
    ['fr', "j'ai pris une décharge en touchant la boîte", 'check/danger-shock'],
    ['de', 'guten Tag, bei uns riecht es verbrannt neben der Zentrale', 'check/danger-burning'],
    ['de', 'das Netzteil ist geschmolzen und der Stecker ist heiß', 'check/danger-hot-plug'],
    ['de', 'mein Kind hat eine Batterie verschluckt', 'check/danger-swallowed-cell'],
    ['de', 'bei uns qualmt es, der Kasten raucht', 'check/danger-burning'],
    ['de', 'hier stinkt es verbrannt', 'check/danger-burning'],
    ['de', 'jemand bricht gerade bei uns ein', 'check/danger-intruder'],
    ['de', 'ich werde bedroht', 'check/danger-intruder'],
    ['de', 'die Batterie ist ganz dick geworden', 'check/danger-battery-swollen'],
    ['de', 'der ganze Keller ist überflutet', 'check/danger-water'],
    ['de', 'mich hat es elektrisiert', 'check/danger-shock'],
    ['fr', 'la centrale est en feu', 'check/danger-burning'],
    ['fr', 'un homme est là et on me menace', 'check/danger-intruder'],
    ['fr', 'la batterie fuit dans le boîtier', 'check/danger-battery-swollen'],
    ['fr', 'le boîtier est tout mouillé', 'check/danger-water'],
    ['es', 'oiga, hay fuego en la cocina', 'check/danger-burning'],
    ['es', 'hay un ladrón en la casa', 'check/danger-intruder'],
    ['es', 'la batería pierde líquido', 'check/danger-battery-swollen'],
    ['es', 'suena la alarma de monóxido', 'check/danger-co-or-unwell'],
    ['en', 'the alarm box is smouldering', 'check/danger-burning'],
    ['en', 'a man with a knife is downstairs', 'check/danger-intruder'],
    ['en', 'I have acid on my hands', 'check/danger-acid'],
    ['en', 'the toddler ate the button cell', 'check/danger-swallowed-cell'],
    ['en', 'I reset it and it tripped again', 'check/danger-breaker-trips'],
  ])('%s: %s', async (language, text, check) => {
    expect((await heard(language, text)).dangers.map((finding) => finding.check)).toContain(check)
  })
})

describe('a complaint in another language leads to its condition among the first three', () => {
  test.each([
    ['es', 'se fue la luz y el teclado pita', 'condition/mains-missing'],
    ['es', 'la pantalla dice batería baja', 'condition/battery-low'],
    ['es', 'dice que no hay línea de teléfono', 'condition/phone-line-missing'],
    ['es', 'la hora está mal desde el domingo', 'condition/time-wrong'],
    ['fr', "depuis la coupure de courant l'alarme bipe", 'condition/mains-missing'],
    ['fr', 'le clavier affiche batterie faible', 'condition/battery-low'],
    ['fr', 'la sirène est en panne', 'condition/sounder-circuit-trouble'],
    ['fr', "depuis hier il n'y a plus d'internet", 'condition/ip-path-down'],
    ['de', 'der Strom ist ausgefallen und es piept', 'condition/mains-missing'],
    ['de', 'am Bedienteil steht Akku schwach', 'condition/battery-low'],
    ['de', 'die Uhrzeit ist falsch', 'condition/time-wrong'],
    ['de', 'der Melder im Flur antwortet nicht', 'condition/radio-device-missing'],
  ])('%s: %s', async (language, text, condition) => {
    const { suggestions } = await heard(language, text)
    const present = suggestions.filter(({ state }) => state === 'present').map((finding) => finding.condition)
    expect(present.slice(0, 3)).toContain(condition)
  })

  test.each([
    ['es', 'no huele a gas y no hay humo'],
    ['fr', "il n'y a pas de fumée"],
    ['de', 'es gibt keinen Rauch'],
    ['de', 'die gelbe Lampe brennt und es piept'],
    ['de', 'der Rauchmelder piept, Batterie schwach'],
    ['es', 'la sirena no suena'],
    ['en', 'the motion sensor keeps tripping'],
  ])('%s: what is denied, or no danger in the first place, is none: %s', async (language, text) => {
    expect((await heard(language, text)).dangers).toEqual([])
  })
})
