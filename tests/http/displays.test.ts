import { describe, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { shippedFile } from '../support/display-profiles.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const decode = (body: object) => ask(send, 'POST', '/v1/displays/decode', body)
const validate = (body: object) => ask(send, 'POST', '/v1/profiles/validate', body)
const FRONT = { screen: 'front', on: ['wave', 'open eye'], readToTheEnd: true }
const RING = { screen: 'ring', on: ['2', '5'], readToTheEnd: true }
const EARS = { screen: 'silent-ears', on: ['3', '11'], readToTheEnd: true }

/** The ring with one thing changed. */
function changed(change: (profile: any) => void): object {
  const profile = structuredClone(shippedFile('marl-ring'))
  change(profile)
  return profile
}

describe('POST /v1/displays/decode', () => {
  test('tells what stands, what does not, what is hidden and what to do next', async () => {
    const { status, body } = await decode({ profile: 'marl-ring', observed: [FRONT, RING] })
    expect(status).toBe(200)
    expect(body.established.map(({ condition, label }: any) => [condition, label])).toEqual([
      ['condition/mains-missing', 'AC power missing'],
      ['condition/radio-device-missing', 'Radio device not heard'],
      ['condition/battery-low', 'System battery low'],
    ])
    expect(body.excluded.map(({ condition }: any) => condition)).toContain('condition/phone-line-missing')
    expect(body.hidden.map(({ screen, isCertain }: any) => [screen, isCertain])).toEqual([['silent-ears', true]])
    expect(body.next).toMatchObject({ screen: 'silent-ears', reveals: ['condition/radio-device-missing'] })
    expect(body.next.act).toContain('Touch lamp 2')
  })

  test('names the profile and its hash in the basis', async () => {
    const { body } = await decode({ profile: 'osier-slate', observed: [] })
    expect(body.basis.profiles).toEqual([expect.stringMatching(/^osier-slate@1 sha256:[0-9a-f]{64}$/)])
  })

  test('answers the same for a profile sent along as for its name', async () => {
    const observed = [FRONT, RING]
    const named = await decode({ profile: 'marl-ring', observed })
    const sent = await decode({ profile: shippedFile('marl-ring'), observed })
    expect(sent.body).toEqual(named.body)
  })

  test('names conditions in the language asked for', async () => {
    const { body, headers } = await decode({ profile: 'marl-ring', language: 'de', observed: [FRONT] })
    expect([body.language, headers.get('Content-Language')]).toEqual(['de', 'de'])
    expect(body.established[0].label).not.toBe('AC power missing')
  })

  test('gives findings that the diagnosis takes, devices apart and the display read', async () => {
    const { body } = await decode({ profile: 'marl-ring', observed: [FRONT, RING, EARS] })
    const of = (condition: string, more: object) => ({
      kind: 'condition',
      condition: `condition/${condition}`,
      ...more,
    })
    expect(body.findings.slice(0, 4)).toEqual([
      of('mains-missing', { state: 'present' }),
      of('radio-device-missing', { state: 'present', device: '3' }),
      of('radio-device-missing', { state: 'present', device: '11' }),
      of('battery-low', { state: 'present' }),
    ])
    expect(body.findings.at(-1)).toEqual({ kind: 'screen', complete: true })
    const diagnosis = await ask(send, 'POST', '/v1/diagnose', { findings: body.findings })
    expect([diagnosis.status, diagnosis.body.contradictions, diagnosis.body.unused]).toEqual([200, [], []])
    expect(diagnosis.body.causes.length).toBeGreaterThan(0)
  })

  test('gives what a memory shows as earlier, which the diagnosis does not count as standing', async () => {
    const { body } = await decode({ profile: 'marl-ring', observed: [{ screen: 'past-ring', on: ['1'] }] })
    const [memory] = body.findings
    expect(memory).toEqual({
      kind: 'condition',
      condition: 'condition/mains-missing',
      state: 'present',
      tense: 'earlier',
    })
    const diagnosis = await ask(send, 'POST', '/v1/diagnose', { findings: body.findings })
    expect([diagnosis.status, diagnosis.body.unused]).toEqual([200, [0]])
  })

  test('gives no device to a condition of the system', async () => {
    const profile = changed((p) => (p.screens[3].condition = 'condition/mains-missing-at-module'))
    const { body } = await decode({ profile, observed: [EARS] })
    expect(body.established[0].devices).toEqual(['3', '11'])
    expect(body.findings[0]).toEqual({
      kind: 'condition',
      condition: 'condition/mains-missing-at-module',
      state: 'present',
    })
  })

  test('calls the display unread while two screens disagree', async () => {
    const { body } = await decode({
      profile: 'osier-slate',
      observed: [
        { screen: 'app', on: ['No current at home'], readToTheEnd: true },
        { screen: 'leaves', on: ['bare branch'] },
      ],
    })
    expect(body.doubts).toEqual([
      { kind: 'screens-disagree', screen: 'leaves', mark: 'house current away', condition: 'condition/mains-missing' },
    ])
    expect(body.findings.at(-1)).toEqual({ kind: 'screen', complete: false })
  })

  test('has null for the next act once everything is read', async () => {
    const profile = changed((p) => {
      p.screens = [{ ...p.screens[0], marks: [p.screens[0].marks[0]], ways: [] }]
    })
    const { body } = await decode({ profile, observed: [{ screen: 'front', on: [], readToTheEnd: true }] })
    expect([body.next, body.hidden]).toEqual([null, []])
  })

  test.each<[string, object, string, string]>([
    ['an unknown name of a profile', { profile: 'glow-worm', observed: [] }, 'UNKNOWN_ID', '/profile'],
    ['a name that is too long', { profile: 'x'.repeat(41), observed: [] }, 'INPUT_INVALID', '/profile'],
    ['no profile', { observed: [] }, 'INPUT_INVALID', '/profile'],
    [
      'a field of a profile',
      { profile: changed((p) => (p.screens[2].kind = 'hologram')), observed: [] },
      'INPUT_INVALID',
      '/profile/screens/2/kind',
    ],
    [
      'a profile that breaks a rule',
      { profile: changed((p) => delete p.screens[2].leave), observed: [] },
      'INPUT_INVALID',
      '/profile/screens/2',
    ],
    [
      'an unknown screen',
      { profile: 'marl-ring', observed: [{ screen: 'attic', on: [] }] },
      'UNKNOWN_ID',
      '/observed/0/screen',
    ],
    [
      'an unknown mark',
      { profile: 'marl-ring', observed: [FRONT, { screen: 'ring', on: ['13'] }] },
      'UNKNOWN_ID',
      '/observed/1/on/0',
    ],
    [
      'an unknown mark that is off',
      { profile: 'marl-ring', observed: [{ screen: 'ring', on: [], off: ['0'] }] },
      'UNKNOWN_ID',
      '/observed/0/off/0',
    ],
    ['an unknown release', { profile: 'marl-ring', release: '9.9.9', observed: [] }, 'RELEASE_UNKNOWN', '/release'],
  ])('refuses %s, naming the place', async (_, request, code, pointer) => {
    const { status, body } = await decode(request)
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, code, pointer])
  })

  /** A display of many numbers: so many screens of a hundred numbers each. */
  const many = (screens: number) =>
    changed((p) => {
      const numbered = Array.from({ length: screens }, (_, at) => ({
        ...p.screens[3],
        screen: `list-${at}`,
        leave: { screen: 'front', act: 'Go back.' },
        numbers: { first: at * 100, last: at * 100 + 99 },
      }))
      const ways = numbered.map(({ screen }) => ({ screen, act: `Go to ${screen}.` }))
      p.screens = [{ ...p.screens[0], marks: [p.screens[0].marks[0]], ways }, ...numbered]
    })

  test('refuses more devices than a diagnosis takes, and answers as many', async () => {
    const on = (count: number) => [{ screen: 'list-0', on: Array.from({ length: count }, (_, index) => String(index)) }]
    const refused = await decode({ profile: many(1), observed: on(65) })
    expect([refused.status, refused.body.errors[0]]).toMatchObject([
      422,
      { code: 'TOO_MANY_DEVICES', limit: 64, value: 65 },
    ])
    const { body } = await decode({ profile: many(1), observed: on(64) })
    expect((await ask(send, 'POST', '/v1/diagnose', { findings: body.findings })).status).toBe(200)
  })

  test('refuses more lit marks than the findings of a diagnosis can hold', async () => {
    const on = Array.from({ length: 100 }, (_, index) => String(index))
    const observed = [
      { screen: 'list-0', on },
      { screen: 'front', on: ['wave'] },
    ]
    const { status, body } = await decode({ profile: many(1), observed })
    expect([status, body.errors[0]]).toMatchObject([422, { code: 'TOO_BIG', limit: 100, value: 101 }])
  })

  test('answers for a large display in less than a second', async () => {
    const profile = many(20)
    const before = performance.now()
    expect((await decode({ profile, observed: [] })).status).toBe(200)
    expect(performance.now() - before).toBeLessThan(1000)
  })
})

describe('POST /v1/profiles/validate', () => {
  test.each(['marl-ring', 'osier-slate'])('finds %s valid, and names its hash', async (name) => {
    const { status, body } = await validate(shippedFile(name))
    expect([status, body.isValid, body.faults, body.profile]).toEqual([200, true, [], name])
    const decoded = await decode({ profile: name, observed: [] })
    expect(decoded.body.basis.profiles).toEqual([`${name}@1 sha256:${body.sha256}`])
  })

  test('names every broken rule with its place, the remedy and what it is about', async () => {
    const profile = changed((p) => {
      p.screens[0].marks[0].condition = 'condition/nowhere'
      delete p.screens[9].leave
    })
    const { status, body } = await validate(profile)
    expect([status, body.isValid]).toEqual([200, false])
    expect(body.faults).toMatchObject([
      { pointer: '/screens/0/marks/0/condition', code: 'REFERENCES_RESOLVE', value: 'condition/nowhere' },
      { pointer: '/screens/9', code: 'SCREENS_LEAD_BACK', value: 'past-ears' },
    ])
    expect(body.faults[1].detail).toContain('Say in leave how to get out of it')
  })

  test('judges by the release that the profile names, or else by the current one', async () => {
    const old = await validate(changed((p) => (p.release = '0.1.0')))
    const current = await validate(changed((p) => delete p.release))
    expect([old.body.release, current.body.release]).toEqual(['0.1.0', currentRelease().version])
  })

  test('refuses what has not the shape of a profile, field by field', async () => {
    const { status, body } = await validate({ profile: 'A B', screens: [{}] })
    expect(status).toBe(422)
    const pointers = body.errors.map(({ pointer }: { pointer: string }) => pointer)
    expect(pointers).toEqual(expect.arrayContaining(['/profile', '/start', '/screens/0/read']))
  })
})
