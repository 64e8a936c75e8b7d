import { describe, expect, test } from 'vitest'
import { decode } from '../../../src/domain/displays/decode.ts'
import { DomainError } from '../../../src/domain/errors.ts'
import { back, battery, mains, opening, profileOf, screenOf, smallProfile } from '../../support/display-profiles.ts'

const small = smallProfile()
const MISSING = 'condition/radio-device-missing'
const read = (screen: string, ...on: string[]) => ({ screen, on, readToTheEnd: true })

describe('what is established', () => {
  test('a memory shows what was earlier, and nothing of now', () => {
    const { established, excluded } = decode(small, [read('past', 'wave')])
    expect(established.map(({ condition, tense }) => [condition, tense])).toEqual([
      ['condition/mains-missing', 'earlier'],
    ])
    expect(excluded).toEqual([])
  })

  test('what stands now and was shown earlier is told twice, once each', () => {
    const { established } = decode(small, [read('front', 'wave'), read('past', 'wave')])
    expect(established.map(({ tense }) => tense)).toEqual(['now', 'earlier'])
  })

  test('several devices of one condition are named together', () => {
    const { established } = decode(small, [{ screen: 'list', on: ['03', '7'] }])
    expect(established).toMatchObject([{ condition: MISSING, devices: ['3', '7'] }])
  })

  test.each(['03', '3', '0003', ' 3 ', '\uff13'])('a number may be told as %j', (told) => {
    expect(decode(small, [{ screen: 'list', on: [told] }]).established[0]?.devices).toEqual(['3'])
  })
})

describe('what is excluded', () => {
  test('nothing is, of a screen that was only begun', () => {
    expect(decode(small, [{ screen: 'front', on: ['eye'] }]).excluded).toEqual([])
  })

  test('a screen whose opening mark is off counts as read and empty', () => {
    const { excluded, hidden } = decode(small, [read('front')])
    expect(excluded).toEqual([{ condition: 'condition/mains-missing' }, { condition: MISSING }])
    expect(hidden.map(({ screen }) => screen)).toEqual(['past'])
  })

  test('of a condition that stands, the devices not shown are', () => {
    const { excluded } = decode(small, [read('list', '1', '2', '3', '4', '5', '6', '7', '8', '9', '10')])
    expect(excluded).toEqual([{ condition: MISSING, devices: ['11', '12'] }])
  })

  test('nothing is by a screen that shows only some of what stands', () => {
    const some = profileOf(screenOf('front', { isComplete: false, marks: [mains, battery] }))
    const { excluded, undecided, hidden, isComplete } = decode(some, [read('front', 'wave')])
    expect([excluded, undecided, hidden, isComplete]).toEqual([[], ['condition/battery-low'], [], false])
  })

  test('a screen that can also be come to beside its mark is not empty because the mark is off', () => {
    const beside = profileOf(
      screenOf('front', { marks: [opening('eye', 'list')], ways: [{ screen: 'list', act: 'Open list anyway.' }] }),
      screenOf('list', { marks: [mains], leave: back }),
    )
    const { excluded, next } = decode(beside, [read('front')])
    expect([excluded, next?.act]).toEqual([[], 'Open list anyway. Read list.'])
  })
})

describe('the next act', () => {
  test('begins at the start', () => {
    expect(decode(small, []).next).toMatchObject({ screen: 'front', act: 'Read front.', steps: 0 })
  })

  test('goes on where the caller is in the midst of reading', () => {
    expect(decode(small, [{ screen: 'list', on: ['2'] }]).next).toMatchObject({ screen: 'list', act: 'Next number.' })
  })

  test('has it shown again where there is no going on', () => {
    const ticks = profileOf(screenOf('front', { marks: [mains, battery], repeat: 'Knock once.' }))
    expect(decode(ticks, [{ screen: 'front', on: ['wave'] }]).next?.act).toBe('Knock once.')
  })

  test('leads back and on, in words', () => {
    const looks = [{ screen: 'front', on: ['eye'] }, read('list', '2')]
    expect(decode(small, looks).next).toMatchObject({ screen: 'front', act: 'Go back. Read front.', steps: 1 })
  })

  test('comes to a memory that a look clears after everything else, and says so first', () => {
    const looks = [read('front', 'eye'), read('list', '2')]
    expect(decode(small, [looks[0]!]).next?.screen).toBe('list')
    expect(decode(small, looks).next?.act).toBe('Take notes first. Go back. Open past. Read past.')
  })

  test('finishes a memory that a look clears before anything else, once it is begun', () => {
    const { next } = decode(small, [{ screen: 'past', on: ['wave'] }])
    expect(next).toMatchObject({ screen: 'past', act: 'Read past.', steps: 0 })
  })

  test('does not lead through a memory that a look clears before it is read', () => {
    const through = profileOf(
      screenOf('front', { ways: [{ screen: 'past', act: 'Open past.' }] }),
      screenOf('past', {
        tense: 'earlier',
        marks: [mains],
        clearsByViewing: 'Take notes first.',
        ways: [{ screen: 'attic', act: 'Open attic.' }],
        leave: back,
      }),
      screenOf('attic', { marks: [battery], leave: back }),
    )
    expect(decode(through, []).next?.screen).toBe('past')
    const looks = [read('past'), { screen: 'front', on: [] }]
    expect(decode(through, looks).next?.act).toBe('Open past. Open attic. Read attic.')
  })

  test('prefers, of screens that tell as much, the one that surely shows something', () => {
    const two = profileOf(
      screenOf('front', { marks: [opening('eye', 'lit')], ways: [{ screen: 'beside', act: 'Open beside.' }] }),
      screenOf('beside', { marks: [mains], leave: back }),
      screenOf('lit', { marks: [battery], leave: back }),
    )
    expect(decode(two, [read('front', 'eye')]).next?.screen).toBe('lit')
  })

  test('prefers the screen that tells more', () => {
    const two = profileOf(
      screenOf('front', { marks: [opening('a', 'less'), opening('b', 'more')] }),
      screenOf('less', { marks: [mains], leave: back }),
      screenOf('more', { marks: [battery, { mark: 'x', condition: 'condition/ground-fault' }], leave: back }),
    )
    expect(decode(two, [read('front', 'a', 'b')]).next).toMatchObject({
      screen: 'more',
      reveals: ['condition/battery-low', 'condition/ground-fault'],
    })
  })

  test('is none once everything is read', () => {
    const { next, hidden, isComplete } = decode(small, [read('front'), read('past')])
    expect([next, hidden, isComplete]).toEqual([undefined, [], true])
  })

  test('is still there for a memory when the present has been read whole', () => {
    const { next, isComplete } = decode(small, [read('front')])
    expect([next?.screen, isComplete]).toEqual(['past', true])
  })
})

describe('a doubt is raised when', () => {
  const twice = profileOf(
    screenOf('front', { marks: [mains, opening('eye', 'list'), { mark: 'calm', isAllClear: true }] }),
    screenOf('list', {
      marks: [{ ...mains, mark: 'flood' }, battery, { mark: 'still', isAllClear: true }],
      leave: back,
    }),
  )
  test.each([
    ['a mark is on and off', 'on-and-off', [{ screen: 'front', on: ['wave'], off: ['wave'] }]],
    ['all is clear and something else is on', 'all-clear-and-more', [{ screen: 'front', on: ['calm', 'wave'] }]],
    ['a lit mark has nothing behind it', 'lit-but-nothing-behind', [read('front', 'eye', 'wave'), read('list')]],
    [
      'a lit mark opens a screen that says all is clear',
      'lit-but-nothing-behind',
      [read('front', 'eye', 'wave'), { screen: 'list', on: ['still'] }],
    ],
    [
      'a screen shows something though its mark is off',
      'shown-though-not-opened',
      [read('front'), read('list', 'leaf')],
    ],
    ['one screen denies what another shows', 'screens-disagree', [read('front', 'wave', 'eye'), read('list', 'leaf')]],
  ])('%s, and what is on counts meanwhile', (_, kind, looks) => {
    const { doubts, isComplete, established, excluded } = decode(twice, looks)
    expect(doubts.map((doubt) => doubt.kind)).toContain(kind)
    expect(isComplete).toBe(false)
    const present = established.map(({ condition }) => condition)
    expect(excluded.filter(({ condition }) => present.includes(condition))).toEqual([])
  })
})

test('a mark that is off raises no doubt about a screen that something else leads to', () => {
  const shared = profileOf(
    screenOf('front', { marks: [opening('eye', 'list')], ways: [{ screen: 'list', act: 'Open list anyway.' }] }),
    screenOf('list', { marks: [battery], leave: back }),
  )
  expect(decode(shared, [read('front'), read('list', 'leaf')]).doubts).toEqual([])
})

test('every unknown screen and mark is refused at once, each with its place', () => {
  const refused = () =>
    decode(small, [
      { screen: 'attic', on: [] },
      { screen: 'front', on: ['wave', 'moon'], off: ['sun'] },
    ])
  expect(refused).toThrow(DomainError)
  try {
    refused()
  } catch (error) {
    const all = [error as DomainError, ...(error as DomainError).also]
    expect(all.map(({ code, detail }) => [code, detail.path, detail.value])).toEqual([
      ['UNKNOWN_ID', '/observed/0/screen', 'attic'],
      ['UNKNOWN_ID', '/observed/1/on/1', 'moon'],
      ['UNKNOWN_ID', '/observed/1/off/0', 'sun'],
    ])
  }
})
