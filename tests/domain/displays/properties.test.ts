import fc from 'fast-check'
import { expect, test } from 'vitest'
import { type Decoded, decode } from '../../../src/domain/displays/decode.ts'
import type { DisplayProfile, Mark, Tense } from '../../../src/domain/displays/profile.ts'
import { profileFaults } from '../../../src/domain/displays/profile-faults.ts'
import type { Observation } from '../../../src/domain/displays/seen.ts'
import {
  drawLook,
  drawProfile,
  drawWorld,
  factsIn,
  follow,
  readWhole,
  type World,
} from '../../support/display-worlds.ts'

const RUNS = { numRuns: 1500 }
const drawLooks = (g: fc.GeneratorValue, world: World, least = 0) =>
  Array.from({ length: least + g(fc.nat, { max: 4 }) }, () => drawLook(g, world))

const isTrue = ({ facts }: World, condition: string, tense: Tense, device?: string) =>
  facts.some(
    (fact) => fact.condition === condition && fact.tense === tense && (device === undefined || fact.device === device),
  )

/** "tense condition device" of everything established, devices apart. */
const known = ({ established }: Decoded) =>
  established.flatMap(({ condition, tense, devices }) => [
    `${tense} ${condition}`,
    ...devices.map((device) => `${tense} ${condition} ${device}`),
  ])

test('the drawn profiles break no rule', () => {
  const conditions = new Set([
    ...Array.from({ length: 6 }, (_, index) => `condition/c${index}`),
    ...Array.from({ length: 8 }, (_, index) => `condition/list${index}`),
  ])
  fc.assert(
    fc.property(fc.gen(), (g) => {
      expect(profileFaults(drawProfile(g), { conditions })).toEqual([])
    }),
    RUNS,
  )
})

test('nothing is established that is not true, and nothing excluded that is', () => {
  let said = 0
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      const { established, excluded } = decode(world.profile, drawLooks(g, world))
      for (const { condition, tense, devices } of established) {
        expect(isTrue(world, condition, tense)).toBe(true)
        for (const device of devices) expect(isTrue(world, condition, tense, device)).toBe(true)
      }
      for (const { condition, devices } of excluded) {
        if (devices === undefined) expect(isTrue(world, condition, 'now')).toBe(false)
        for (const device of devices ?? []) expect(isTrue(world, condition, 'now', device)).toBe(false)
      }
      said += established.length + excluded.length
    }),
    RUNS,
  )
  expect(said).toBeGreaterThan(RUNS.numRuns)
})

test('what is told truly raises no doubt', () => {
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      expect(decode(world.profile, drawLooks(g, world)).doubts).toEqual([])
    }),
    RUNS,
  )
})

/** Marks on and off at will, true or not. */
function drawAnything(g: fc.GeneratorValue, { profile }: World): Observation {
  const screen = g(fc.constantFrom, ...profile.screens)
  const { marks = [] } = screen
  const names = [...marks.map((one: Mark) => one.mark), ...(screen.numbers ? ['1'] : [])]
  return {
    screen: screen.screen,
    on: names.filter(() => g(fc.boolean)),
    off: names.filter(() => g(fc.boolean)),
    readToTheEnd: g(fc.boolean),
  }
}

test('a further look takes nothing back that was established, true or not', () => {
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      const looks = Array.from({ length: 1 + g(fc.nat, { max: 4 }) }, () => drawAnything(g, world))
      const before = known(decode(world.profile, looks.slice(0, -1)))
      expect(known(decode(world.profile, looks))).toEqual(expect.arrayContaining(before))
    }),
    RUNS,
  )
})

test('nothing is established and excluded at once, whatever is said', () => {
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      const looks = Array.from({ length: g(fc.nat, { max: 5 }) }, () => drawAnything(g, world))
      const { established, excluded } = decode(world.profile, looks)
      const present = new Map(established.filter(({ tense }) => tense === 'now').map((one) => [one.condition, one]))
      for (const { condition, devices } of excluded) {
        if (devices === undefined) expect(present.has(condition)).toBe(false)
        for (const device of devices ?? []) expect(present.get(condition)?.devices ?? []).not.toContain(device)
      }
    }),
    RUNS,
  )
})

test('there is an act exactly while something is hidden, and it reads a hidden screen, whatever is said', () => {
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      const looks = Array.from({ length: g(fc.nat, { max: 5 }) }, () => drawAnything(g, world))
      const { hidden, next } = decode(world.profile, looks)
      expect(next !== undefined).toBe(hidden.length > 0)
      if (next) expect(hidden.map(({ screen }) => screen)).toContain(next.screen)
    }),
    RUNS,
  )
})

/** Does act after act as told, reading each screen whole; returns every look and the last answer. */
function play(world: World, begun: Observation[]): { looks: Observation[]; last: Decoded } {
  const looks = [...begun]
  for (;;) {
    const last = decode(world.profile, looks)
    if (!last.next) return { looks, last }
    const from = looks.at(-1)?.screen ?? world.profile.start
    const acts = last.next.act.split(' ').filter((word) => word.includes('>'))
    expect(follow(world, from, acts)).toBe(last.next.screen)
    expect(acts).toHaveLength(last.next.steps)
    looks.push(readWhole(world, last.next.screen))
    expect(looks.length - begun.length).toBeLessThanOrEqual(world.profile.screens.length)
  }
}

test('the acts can be done one after the other, and read everything in no more acts than there are screens', () => {
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      const { last } = play(world, [])
      expect(last.hidden).toEqual([])
    }),
    RUNS,
  )
})

/** Conditions that a display can show as standing now. */
const conditionsOfNow = ({ profile }: World) =>
  factsIn(profile).flatMap(({ condition, tense }) => (tense === 'now' ? [condition] : []))

/** Whatever can be opened from a screen at all times can be come to at all times. */
function isAlwaysAtHand({ start, screens }: DisplayProfile): boolean {
  const open = new Set([start])
  for (const { screen, ways = [] } of screens) if (open.has(screen)) for (const way of ways) open.add(way.screen)
  return screens.every(({ screen, ways = [] }) => ways.length === 0 || open.has(screen))
}

test('once a display that shows everything is read, everything true is established and everything else excluded', () => {
  let played = 0
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      fc.pre(world.profile.screens.every(({ isComplete }) => isComplete) && isAlwaysAtHand(world.profile))
      const { last } = play(world, [])
      const truth = world.facts.flatMap(({ condition, tense, device }) => [
        `${tense} ${condition}`,
        ...(device === undefined ? [] : [`${tense} ${condition} ${device}`]),
      ])
      expect(new Set(known(last))).toEqual(new Set(truth))
      expect([last.isComplete, last.undecided]).toEqual([true, []])
      const absent = last.excluded.filter(({ devices }) => devices === undefined).map(({ condition }) => condition)
      const untrue = conditionsOfNow(world).filter((condition) => !isTrue(world, condition, 'now'))
      expect(new Set(absent)).toEqual(new Set(untrue))
      played += world.facts.length
    }),
    { numRuns: 1000, maxSkipsPerRun: 200 },
  )
  expect(played).toBeGreaterThan(1000)
})

test('the order in which screens are looked at does not matter to what is known', () => {
  fc.assert(
    fc.property(fc.gen(), (g) => {
      const world = drawWorld(g)
      const looks = drawLooks(g, world, 2)
      const [one, other] = [decode(world.profile, looks), decode(world.profile, looks.toReversed())]
      expect(other.established).toEqual(one.established)
      expect(other.excluded).toEqual(one.excluded)
      expect(other.doubts).toEqual(one.doubts)
    }),
    RUNS,
  )
})
