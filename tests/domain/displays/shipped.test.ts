import { expect, test } from 'vitest'
import { decode } from '../../../src/domain/displays/decode.ts'
import type { Mark, Screen } from '../../../src/domain/displays/profile.ts'
import { SHIPPED, shippedFile } from '../../support/display-profiles.ts'

/** Marks as the file has them, numbers written out. */
function written({ marks = [], numbers, condition }: Screen): Mark[] {
  const listed = Array.from({ length: numbers ? numbers.last - numbers.first + 1 : 0 }, (_, index) => {
    const device = String(numbers!.first + index)
    return { mark: device.padStart(numbers!.digits ?? 1, '0'), device, condition }
  })
  return [...marks.map((mark) => ({ ...mark, condition: mark.condition ?? (mark.device && condition) })), ...listed]
}

const MARKS = SHIPPED.flatMap((name) =>
  shippedFile(name).screens.flatMap((screen) =>
    written(screen).map((mark) => ({ title: `${name}: ${screen.screen}: ${mark.mark}`, name, screen, mark })),
  ),
)

test('every mark of both families is walked', () => {
  expect(SHIPPED.map((name) => MARKS.filter((mark) => mark.name === name).length)).toEqual([76, 93])
})

type Walked = (typeof MARKS)[number]
const tenseOf = ({ mark, screen }: Walked) => mark.tense ?? screen.tense ?? 'now'
const look = ({ name, screen, mark }: Walked) => decode(shippedFile(name), [{ screen: screen.screen, on: [mark.mark] }])

test.each(MARKS)('$title means what the file says', (walked) => {
  const { mark, screen } = walked
  const shownBy = [{ screen: screen.screen, mark: mark.mark }]
  const devices = mark.device === undefined ? [] : [mark.device]
  const { condition } = mark
  const { established, doubts } = look(walked)
  expect(established).toEqual(condition === undefined ? [] : [{ condition, tense: tenseOf(walked), devices, shownBy }])
  expect(doubts).toEqual([])
})

test.each(MARKS.filter(({ mark }) => mark.opens))('$title surely leads to the screen that it opens', (walked) => {
  const { name, mark, screen } = walked
  const { screen: to, act } = mark.opens!
  expect(look(walked).hidden.find((one) => one.screen === to)?.isCertain).toBe(true)
  const profile = shippedFile(name)
  const read = profile.screens
    .filter((one) => one.screen !== to && one.screen !== screen.screen)
    .map((one) => ({ screen: one.screen, on: [], readToTheEnd: true }))
  const { next } = decode(profile, [...read, { screen: screen.screen, on: [mark.mark], readToTheEnd: true }])
  const target = profile.screens.find((one) => one.screen === to)!
  const caution = target.clearsByViewing === undefined ? '' : `${target.clearsByViewing} `
  expect(next).toMatchObject({ screen: to, steps: 1, act: `${caution}${act} ${target.read}` })
})

test.each(MARKS.filter(({ mark }) => mark.isAllClear))('$title clears everything else on its screen', (walked) => {
  const others = written(walked.screen).flatMap(({ condition }) => (condition === undefined ? [] : [condition]))
  expect(look(walked).excluded.map(({ condition }) => condition)).toEqual(expect.arrayContaining(others))
})

const saysNo = (walked: Walked) =>
  walked.mark.condition !== undefined && tenseOf(walked) === 'now' && walked.screen.isComplete
test.each(MARKS.filter(saysNo))(
  '$title says, when off, that its condition does not stand',
  ({ name, screen, mark }) => {
    const { excluded } = decode(shippedFile(name), [{ screen: screen.screen, on: [], off: [mark.mark] }])
    const devices = mark.device === undefined ? {} : { devices: [mark.device] }
    expect(excluded).toContainEqual({ condition: mark.condition, ...devices })
  },
)

test.each(MARKS.filter((walked) => walked.mark.condition !== undefined && !saysNo(walked)))(
  '$title says nothing of now when off',
  ({ name, screen, mark }) => {
    expect(decode(shippedFile(name), [{ screen: screen.screen, on: [], off: [mark.mark] }]).excluded).toEqual([])
  },
)

test.each(SHIPPED)('a quiet %s is read to its end by its acts, and hides nothing then', (name) => {
  const profile = shippedFile(name)
  const looks: { screen: string; on: string[]; readToTheEnd: boolean }[] = []
  for (let next = decode(profile, looks).next; next; next = decode(profile, looks).next)
    looks.push({ screen: next.screen, on: [], readToTheEnd: true })
  const last = decode(profile, looks)
  expect(last.hidden).toEqual([])
  expect(last.established).toEqual([])
  expect(looks.length).toBeLessThanOrEqual(profile.screens.length)
})

test('a call at the ring: two lamps, a number behind one, and the memory last of all', () => {
  const ring = shippedFile('marl-ring')
  const front = { screen: 'front', on: ['open eye', 'footprints'], readToTheEnd: true }
  const lamps = { screen: 'ring', on: ['2', '5'], readToTheEnd: true }
  expect(decode(ring, [front]).next?.screen).toBe('ring')
  const second = decode(ring, [front, lamps])
  expect(second.next).toMatchObject({ screen: 'silent-ears', reveals: ['condition/radio-device-missing'] })
  const third = decode(ring, [front, lamps, { screen: 'silent-ears', on: ['7'], readToTheEnd: true }])
  expect(third.established[0]).toMatchObject({ condition: 'condition/radio-device-missing', devices: ['7'] })
  // The ticker could only repeat what the ring and the empty roads have told.
  expect(third.hidden.map(({ screen }) => screen)).toEqual(['past-ring', 'past-ears'])
  expect(third.isComplete).toBe(true)
  expect(third.next?.act).toMatch(/^Have paper and pen ready/)
})
