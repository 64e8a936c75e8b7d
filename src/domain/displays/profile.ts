/**
 * How one family of keypads shows conditions, as its integrator describes it. Every act and every name in it is put to the
 * caller in these words.
 */

export const DISPLAY_KINDS = [
  'numbered-lamps',
  'digits',
  'characters',
  'text-lines',
  'pictograms',
  'beep-patterns',
  'app-words',
] as const
export type DisplayKind = (typeof DISPLAY_KINDS)[number]

export const TENSES = ['now', 'earlier'] as const
/** "earlier": what a memory shows was so once and is not known to be so now. */
export type Tense = (typeof TENSES)[number]

/** Another screen, and what the caller does to see it. */
export interface Way {
  screen: string
  act: string
}

/** Something that a screen can show: a lamp, a number, a word, a pattern of beeps. */
export interface Mark {
  /** How the caller names it. */
  mark: string
  /** Stands while the mark is on. */
  condition?: string | undefined
  /** Device that the condition of the mark, or else of the screen, is about. */
  device?: string | undefined
  /** The screen's when left out. */
  tense?: Tense | undefined
  /** The mark is on while this screen has something to show. */
  opens?: Way | undefined
  /** On while nothing stands that the screen could show. */
  isAllClear?: boolean | undefined
}

export interface Screen {
  screen: string
  title: string
  kind: DisplayKind
  shows: 'all-at-once' | 'one-by-one'
  /** Whether everything that stands is shown; false where the display picks, such as the most urgent item. */
  isComplete: boolean
  tense?: Tense | undefined
  /** How to read it from its beginning. */
  read: string
  goOn?: string | undefined
  repeat?: string | undefined
  leave?: Way | undefined
  /** Viewing it clears it: what the caller is told first. */
  clearsByViewing?: string | undefined
  /** What the numbers and other devices of this screen have. */
  condition?: string | undefined
  /** Marks that are plain device numbers, from first to last, written with at least so many digits. */
  numbers?: { first: number; last: number; digits?: number | undefined } | undefined
  marks?: readonly Mark[] | undefined
  /** Screens that can be opened from here whatever it shows. */
  ways?: readonly Way[] | undefined
}

export interface DisplayProfile {
  profile: string
  version: string
  name: string
  /** Screen on which a call begins. */
  start: string
  screens: readonly Screen[]
}

/** A mark with everything that its screen adds to it. */
export interface LaidMark {
  mark: string
  /** The form in which marks are compared. */
  spoken: string
  condition?: string
  device?: string
  tense: Tense
  opens?: Way
  isAllClear: boolean
}

/**
 * A mark as it is heard: without regard to case, spacing, width of letters and leading zeros.
 * @example spokenForm(' 07 ') // '7'
 */
export function spokenForm(mark: string): string {
  const plain = mark.normalize('NFKC').trim().toLowerCase().replace(/\s+/g, ' ')
  return /^\d+$/.test(plain) ? plain.replace(/^0+(?=\d)/, '') : plain
}

function numberMarks({ numbers }: Screen): Mark[] {
  if (!numbers) return []
  const { first, last, digits = 1 } = numbers
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => {
    const device = String(first + index)
    return { mark: device.padStart(digits, '0'), device }
  })
}

function lay(mark: Mark, screen: Screen): LaidMark {
  const { device, opens } = mark
  const condition = mark.condition ?? (device === undefined ? undefined : screen.condition)
  return {
    mark: mark.mark,
    spoken: spokenForm(mark.mark),
    tense: mark.tense ?? screen.tense ?? 'now',
    isAllClear: mark.isAllClear ?? false,
    ...(condition === undefined ? {} : { condition }),
    ...(device === undefined ? {} : { device }),
    ...(opens === undefined ? {} : { opens }),
  }
}

/**
 * Everything that a screen can show: its own marks in order, then its numbers.
 * @example marksOf({ ...screen, marks: [], numbers: { first: 1, last: 2 } }).map(({ mark }) => mark) // ['1', '2']
 */
export function marksOf(screen: Screen): LaidMark[] {
  return [...(screen.marks ?? []), ...numberMarks(screen)].map((mark) => lay(mark, screen))
}
