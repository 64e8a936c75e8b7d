import { type Facts, isKnown, marksOfNow } from './facts.ts'
import type { Judged, JudgedMark, JudgedScreen } from './mark-states.ts'
import type { Tense } from './profile.ts'

export interface HiddenCondition {
  condition: string
  tense: Tense
}
/** A screen that was not read to its end and can still tell something. */
export interface HiddenScreen {
  screen: string
  title: string
  /** A mark that opens it is on, so it has something to show. */
  isCertain: boolean
  /** All that it can still tell was earlier. */
  isMemory: boolean
  /** Conditions, or their devices, of which nothing is known until it is read. */
  conditions: HiddenCondition[]
}

/** A mark that would tell something new: of a condition, or whether another screen has anything to show. */
const isOpen = (facts: Facts, { mark, state }: JudgedMark): boolean =>
  state === 'unknown' && (mark.opens !== undefined || !isKnown(facts, mark))

/** The caller can still come to read it. */
const isToBeRead = ({ isRead, mayBeOpened }: JudgedScreen): boolean => mayBeOpened && !isRead

/** Marks of a screen that would tell something new; none once it is read. */
export function openMarks(facts: Facts, screen: JudgedScreen): JudgedMark[] {
  return isToBeRead(screen) ? screen.judged.filter((one) => isOpen(facts, one)) : []
}

function conditionsOf(facts: Facts, marks: readonly JudgedMark[]): HiddenCondition[] {
  const found = new Map<string, HiddenCondition>()
  for (const { mark } of marks) {
    const { condition, tense } = mark
    if (condition !== undefined && !isKnown(facts, mark)) found.set(`${tense} ${condition}`, { condition, tense })
  }
  return [...found.values()]
}

function openedByLitMark(judged: Judged): Set<string> {
  const lit = [...judged.values()].flatMap(({ judged: marks }) =>
    marks.flatMap(({ mark, state }) => (mark.opens && state === 'on' ? [mark.opens.screen] : [])),
  )
  return new Set(lit)
}

/** Screens still to be read, in the order of the profile. */
export function hide(judged: Judged, facts: Facts): HiddenScreen[] {
  const certain = openedByLitMark(judged)
  return [...judged].flatMap(([name, screen]) => {
    const open = openMarks(facts, screen)
    if (open.length === 0) return []
    const { title } = screen.screen
    const isMemory = open.every(({ mark }) => mark.tense === 'earlier')
    return [{ screen: name, title, isCertain: certain.has(name), isMemory, conditions: conditionsOf(facts, open) }]
  })
}

/**
 * Conditions of which a reading of every screen leaves unknown whether they stand: those that only screens show which
 * do not show everything.
 */
export function undecided(judged: Judged, facts: Facts): string[] {
  return [...marksOfNow(judged)].flatMap(([condition, marks]) => {
    const absent = facts.absent.get(condition)
    const isSettled = facts.present.has(`now ${condition}`) || (absent !== undefined && absent.devices === undefined)
    return isSettled || marks.some((one) => isToBeRead(one.screen) && isOpen(facts, one)) ? [] : [condition]
  })
}
