import { readdirSync, readFileSync } from 'node:fs'
import { Ajv2020 } from 'ajv/dist/2020.js'
import { describe, expect, test } from 'vitest'
import { PROFILES_JSON } from '../../src/ontology/generated/profiles.ts'
import { ProfileSchema, profileJsonSchema } from '../../src/ontology/profile.ts'
import { SHIPPED, shippedFile } from '../support/display-profiles.ts'

const FOLDER = 'ontology/profiles'
const json = (file: string): any => JSON.parse(readFileSync(`${FOLDER}/${file}`, 'utf8'))
const accepts = new Ajv2020({ strict: false }).compile(profileJsonSchema())

test('the module of shipped profiles holds every file of the folder, as it is; else run src/tools/build-profiles.ts', () => {
  const files = readdirSync(FOLDER).filter((name) => name.endsWith('.json') && name !== 'profile.schema.json')
  expect(files.sort()).toEqual(SHIPPED.map((name) => `${name}.json`))
  expect(JSON.parse(PROFILES_JSON)).toEqual(files.map(json))
})

test('the published JSON Schema is that of the service; else run src/tools/build-profiles.ts', () => {
  expect(json('profile.schema.json')).toEqual(profileJsonSchema())
})

test.each(SHIPPED)('%s is named as its file, and an independent validator accepts it', (name) => {
  expect(shippedFile(name).profile).toBe(name)
  expect([accepts(json(`${name}.json`)), accepts.errors]).toEqual([true, null])
})

describe('both schemas refuse', () => {
  type Change = (profile: any) => void
  test.each<[string, Change]>([
    ['a field that the format does not have', (p) => (p.maker = 'x')],
    ['a name that is not kebab-case', (p) => (p.profile = 'Marl Ring')],
    ['a kind of display that is not listed', (p) => (p.screens[0].kind = 'hologram')],
    ['a profile without screens', (p) => (p.screens = [])],
    ['a screen that does not say whether it is complete', (p) => delete p.screens[0].isComplete],
    ['a screen that does not say how to read it', (p) => delete p.screens[0].read],
    ['a mark without a name', (p) => delete p.screens[0].marks[0].mark],
    ['a mark of blanks', (p) => (p.screens[0].marks[0].mark = '  ')],
    ['an act over two lines', (p) => (p.screens[0].read = 'Look\nhere')],
    ['a mark that opens a screen without an act', (p) => delete p.screens[0].marks[2].opens.act],
    ['a condition that is no id of a condition', (p) => (p.screens[0].marks[0].condition = 'cause/fuse-blown')],
    ['a tense that is neither now nor earlier', (p) => (p.screens[0].tense = 'soon')],
  ])('%s', (_, change) => {
    const profile = json('marl-ring.json')
    expect([ProfileSchema.safeParse(profile).success, accepts(profile)]).toEqual([true, true])
    change(profile)
    expect([ProfileSchema.safeParse(profile).success, accepts(profile)]).toEqual([false, false])
  })
})

test('a screen holds at most a hundred numbers', () => {
  const profile = json('marl-ring.json')
  profile.screens[3].numbers = { first: 1, last: 101 }
  expect(ProfileSchema.safeParse(profile).error?.issues[0]?.path).toEqual(['screens', 3, 'numbers'])
})
