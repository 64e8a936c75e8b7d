import type { Judged, JudgedMark, JudgedScreen } from './mark-states.ts'
import type { LaidMark, Tense } from './profile.ts'

/** A condition that is shown, with everything that shows it. */
export interface Established {
  condition: string
  tense: Tense
  /** Devices it is shown for; none when the display names none. */
  devices: string[]
  shownBy: { screen: string; mark: string }[]
}

/** A condition that does not stand; with devices, not on these, while nothing is said of others. */
export interface Excluded {
  condition: string
  devices?: string[]
}

/** A mark that stands for a condition, with its screen. */
type Shown = JudgedMark & { screen: JudgedScreen; condition: string }

function shownMarks(judged: Judged): Shown[] {
  return [...judged.values()].flatMap((screen) =>
    screen.judged.flatMap((one) => {
      const { condition } = one.mark
      return condition === undefined ? [] : [{ ...one, screen, condition }]
    }),
  )
}

/** Marks of conditions that stand now, by condition, in the order of the profile. */
export function marksOfNow(judged: Judged): Map<string, Shown[]> {
  const byCondition = new Map<string, Shown[]>()
  for (const shown of shownMarks(judged)) {
    if (shown.mark.tense !== 'now') continue
    const known = byCondition.get(shown.condition)
    if (known) known.push(shown)
    else byCondition.set(shown.condition, [shown])
  }
  return byCondition
}

const keyOf = (condition: string, tense: Tense) => `${tense} ${condition}`

/** Everything that is on, one record a condition and tense. Grows with what is observed, and never shrinks. */
export function establish(judged: Judged): Established[] {
  const found = new Map<string, Established>()
  for (const { mark, state, screen, condition } of shownMarks(judged)) {
    if (state !== 'on') continue
    const { tense, device } = mark
    const key = keyOf(condition, tense)
    const known = found.get(key) ?? { condition, tense, devices: [], shownBy: [] }
    if (device !== undefined && !known.devices.includes(device)) known.devices.push(device)
    known.shownBy.push({ screen: screen.screen.screen, mark: mark.mark })
    found.set(key, known)
  }
  return [...found.values()]
}

/** Devices that a complete reading says no of. */
function devicesOff(marks: readonly Shown[], shown: readonly string[]): string[] {
  const off = marks.flatMap(({ mark, state }) => (state === 'off' && mark.device !== undefined ? [mark.device] : []))
  return [...new Set(off)].filter((device) => !shown.includes(device))
}

/** A mark of the condition itself is off, or every device that could be shown with it is. */
function isOffAltogether(marks: readonly Shown[]): boolean {
  if (marks.some(({ mark, state }) => mark.device === undefined && state === 'off')) return true
  const ofDevices = marks.filter(({ mark }) => mark.device !== undefined)
  return ofDevices.length > 0 && ofDevices.every(({ state }) => state === 'off')
}

/** What does not stand now. What is established is never among it, even where two screens disagree. */
export function exclude(judged: Judged, established: readonly Established[]): Excluded[] {
  const present = new Map(established.filter(({ tense }) => tense === 'now').map((fact) => [fact.condition, fact]))
  return [...marksOfNow(judged)].flatMap(([condition, marks]): Excluded[] => {
    const fact = present.get(condition)
    if (!fact && isOffAltogether(marks)) return [{ condition }]
    const devices = devicesOff(marks, fact?.devices ?? [])
    return devices.length === 0 ? [] : [{ condition, devices }]
  })
}

/** Whether what a mark stands for is known, from itself or from another screen. */
export function isKnown(facts: Facts, { condition, device, tense }: LaidMark): boolean {
  if (condition === undefined) return true
  const fact = facts.present.get(keyOf(condition, tense))
  if (fact && (device === undefined || fact.devices.includes(device))) return true
  if (tense === 'earlier') return false
  const no = facts.absent.get(condition)
  return no !== undefined && (no.devices === undefined || (device !== undefined && no.devices.includes(device)))
}

/** Look-up tables of what is established and excluded. */
export interface Facts {
  present: ReadonlyMap<string, Established>
  absent: ReadonlyMap<string, Excluded>
}
export function factsOf(established: readonly Established[], excluded: readonly Excluded[]): Facts {
  return {
    present: new Map(established.map((fact) => [keyOf(fact.condition, fact.tense), fact])),
    absent: new Map(excluded.map((fact) => [fact.condition, fact])),
  }
}
