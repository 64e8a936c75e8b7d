import fc, { type GeneratorValue } from 'fast-check'
import type { DisplayProfile, Mark, Screen, Tense } from '../../src/domain/displays/profile.ts'
import type { Observation } from '../../src/domain/displays/seen.ts'

/** Invented displays and what is true behind them, so that what is read off a display can be held against the truth. */

export interface Fact {
  condition: string
  tense: Tense
  device?: string
}
export interface World {
  profile: DisplayProfile
  facts: Fact[]
  /** Marks that each screen shows to whoever looks at it. */
  shown: ReadonlyMap<string, ReadonlySet<string>>
}
type Draw = GeneratorValue
type Part = Screen & { marks: Mark[]; ways: { screen: string; act: string }[] }

const nameOf = (index: number) => `s${index}`
/** An act says from where to where it leads, so that a test can follow it. */
const act = (from: number, to: number) => `${nameOf(from)}>${nameOf(to)}`
const way = (from: number, to: number) => ({ screen: nameOf(to), act: act(from, to) })

function drawMark(g: Draw, name: string): Mark {
  const condition = `condition/c${g(fc.nat, { max: 5 })}`
  return g(fc.boolean)
    ? { mark: name, condition }
    : { mark: name, condition, device: g(fc.constantFrom, 'a', 'b', 'c') }
}

function drawScreen(g: Draw, index: number): Part {
  const tense = g(fc.constantFrom, 'now' as Tense, 'now' as Tense, 'earlier' as Tense)
  const name = nameOf(index)
  const isClearing = tense === 'earlier' && g(fc.boolean)
  const count = g(fc.nat, { max: 4 })
  return {
    screen: name,
    title: name,
    kind: 'characters',
    shows: 'all-at-once',
    isComplete: g(fc.nat, { max: 3 }) > 0,
    tense,
    read: `read:${name}`,
    marks: [
      ...Array.from({ length: count }, (_, at) => drawMark(g, `m${at}`)),
      ...(g(fc.nat, { max: 3 }) === 0 ? [{ mark: 'quiet', isAllClear: true }] : []),
    ],
    ways: [],
    ...(index === 0 ? {} : { leave: way(index, g(fc.nat, { max: index - 1 })) }),
    ...(isClearing ? { clearsByViewing: `lost:${name}` } : {}),
  }
}

/** A screen of device numbers behind a mark that says of which condition. */
function hangList(g: Draw, parts: Part[], from: number, index: number): void {
  const condition = `condition/list${index}`
  const part = parts[index]!
  part.tense = 'now'
  delete (part as { clearsByViewing?: string }).clearsByViewing
  part.condition = condition
  part.numbers = { first: 1, last: 1 + g(fc.nat, { max: 3 }) }
  part.isComplete = true
  part.marks = []
  parts[from]!.marks.push({ mark: `list${index}`, condition, tense: 'now', opens: way(from, index) })
}

function link(g: Draw, parts: Part[], index: number): void {
  const from = g(fc.nat, { max: index - 1 })
  const kind = g(fc.constantFrom, 'way', 'mark', 'mark', 'list')
  // A list shows the devices of one condition and nothing else, so only a way can lead on from it.
  const isFromList = parts[from]!.numbers !== undefined
  if (kind === 'list' && !isFromList && parts[from]!.clearsByViewing === undefined) hangList(g, parts, from, index)
  else if (kind === 'way' || isFromList) parts[from]!.ways.push(way(from, index))
  else parts[from]!.marks.push({ mark: `to${index}`, opens: way(from, index) })
}

/** More ways to the same screens; not to lists, which show one condition only. */
function linkAgain(g: Draw, parts: Part[]): void {
  parts.forEach((part, index) => {
    if (index === 0 || part.numbers !== undefined || g(fc.nat, { max: 2 }) > 0) return
    const from = g(fc.nat, { max: index - 1 })
    if (parts[from]!.numbers !== undefined) return
    if (!parts[from]!.marks.some(({ mark }) => mark === `to${index}`))
      parts[from]!.marks.push({ mark: `to${index}`, opens: way(from, index) })
  })
}

export function drawProfile(g: Draw): DisplayProfile {
  const parts = Array.from({ length: 1 + g(fc.nat, { max: 6 }) }, (_, index) => drawScreen(g, index))
  for (let index = 1; index < parts.length; index++) link(g, parts, index)
  linkAgain(g, parts)
  parts.forEach((part) => {
    if (part.marks.length === 0 && part.numbers === undefined)
      part.marks.push({ mark: 'm9', condition: 'condition/c5' })
  })
  return { profile: 'drawn', version: '1', name: 'drawn', start: nameOf(0), screens: parts }
}

/** Everything that a profile can show, written out anew. */
export function factsIn({ screens }: DisplayProfile): Fact[] {
  return screens.flatMap(({ tense = 'now', marks = [], numbers, condition: own }) => [
    ...marks.flatMap(({ condition, device, tense: of = tense }) =>
      condition === undefined ? [] : [{ condition, tense: of, ...(device === undefined ? {} : { device }) }],
    ),
    ...Array.from({ length: numbers ? numbers.last - numbers.first + 1 : 0 }, (_, index) => ({
      condition: own!,
      tense,
      device: String(numbers!.first + index),
    })),
  ])
}

/** What is true: any of what can be shown. A condition that has devices somewhere stands on one of them at least. */
function drawFacts(g: Draw, profile: DisplayProfile): Fact[] {
  const all = factsIn(profile)
  const drawn = all.filter(() => g(fc.nat, { max: 2 }) === 0)
  return drawn.filter(
    ({ condition, tense, device }) =>
      device !== undefined ||
      !all.some((other) => other.condition === condition && other.tense === tense && other.device !== undefined),
  )
}

/** Lit marks of each screen, later ones first because marks only open later screens. */
function drawShown(g: Draw, { screens }: DisplayProfile, facts: readonly Fact[]): Map<string, Set<string>> {
  const shown = new Map<string, Set<string>>()
  const isTrue = (condition: string, tense: Tense, device: string | undefined) =>
    facts.some(
      (fact) =>
        fact.condition === condition && fact.tense === tense && (device === undefined || fact.device === device),
    )
  for (const { screen, tense = 'now', marks = [], numbers, condition: own, isComplete } of [...screens].reverse()) {
    const plain = marks.flatMap(({ mark, condition, device, tense: of = tense, opens, isAllClear }) => {
      if (isAllClear) return []
      const isLit = condition === undefined ? shown.get(opens!.screen)!.size > 0 : isTrue(condition, of, device)
      return isLit ? [mark] : []
    })
    const listed = Array.from({ length: numbers ? numbers.last : 0 }, (_, index) => String(index + 1)).filter(
      (device) => isTrue(own!, tense, device),
    )
    const lit = [...plain, ...listed]
    const kept = isComplete ? lit : lit.filter((_, index) => index === 0 || g(fc.boolean))
    shown.set(screen, new Set(kept))
  }
  return shown
}

/** A screen that shows nothing else shows its sign that all is clear, where it has one. */
export function litMarks({ profile, shown }: World, name: string): string[] {
  const lit = [...shown.get(name)!]
  const { marks = [] } = profile.screens.find(({ screen }) => screen === name)!
  return lit.length > 0 ? lit : marks.filter(({ isAllClear }) => isAllClear).map(({ mark }) => mark)
}

export function drawWorld(g: Draw): World {
  const profile = drawProfile(g)
  const facts = drawFacts(g, profile)
  return { profile, facts, shown: drawShown(g, profile, facts) }
}

export const readWhole = (world: World, screen: string): Observation => ({
  screen,
  on: litMarks(world, screen),
  readToTheEnd: true,
})

/** A look that leaves things out, but says nothing wrong. */
export function drawLook(g: Draw, world: World): Observation {
  const screen = g(fc.constantFrom, ...world.profile.screens.map((one) => one.screen))
  if (g(fc.boolean)) return readWhole(world, screen)
  const lit = litMarks(world, screen)
  const { marks = [], numbers } = world.profile.screens.find((one) => one.screen === screen)!
  const names = [...marks.map(({ mark }) => mark), ...(numbers ? [String(numbers.last)] : [])]
  return {
    screen,
    on: lit.filter(() => g(fc.boolean)),
    off: names.filter((name) => !lit.includes(name) && g(fc.boolean)),
  }
}

/** Where the acts lead from a screen, refusing one that the caller cannot do there. */
export function follow({ profile, shown }: World, from: string, acts: readonly string[]): string {
  return acts.reduce((at, words) => {
    const screen = profile.screens.find((one) => one.screen === at)!
    const lit = (screen.marks ?? []).flatMap(({ mark, opens }) => (opens && shown.get(at)!.has(mark) ? [opens] : []))
    const possible = [...lit, ...(screen.ways ?? []), ...(screen.leave ? [screen.leave] : [])]
    const done = possible.find((one) => one.act === words)
    if (!done) throw new Error(`${words} cannot be done on ${at}`)
    return done.screen
  }, from)
}
