/** A cell by all its names. Where a name comes from is said by its certainty. */
export interface CellNames {
  iec: string
  ansi?: string
  jis?: string
  trade: readonly string[]
  certainty: string
}
const names = (iec: string, ansi: string, jis: string, trade: string, certainty = 'read'): CellNames => ({
  iec,
  ...(ansi && { ansi }),
  ...(jis && { jis }),
  trade: trade === '' ? [] : trade.split(' '),
  certainty,
})

/**
 * Cross-names: IEC 60086, ANSI C18 as quoted by public lists, JIS consumer sizes, and what the trade says.
 * A name carries no geometry: dimensions come from the designation alone.
 */
export const CELL_NAMES: readonly CellNames[] = [
  names('LR03', '24A', '単4', 'AAA'),
  names('R03', '24D', '単4', 'AAA'),
  names('FR03', '24LF', '単4', 'AAA'),
  names('LR6', '15A', '単3', 'AA'),
  names('R6', '15D', '単3', 'AA', 'ANSI from memory'),
  names('FR6', '15LF', '単3', 'AA'),
  names('LR14', '14A', '単2', 'C', 'from memory'),
  names('LR20', '13A', '単1', 'D', 'JIS read, ANSI from memory'),
  names('R20', '13D', '単1', 'D', 'JIS read, ANSI from memory'),
  names('LR1', '910A', '単5', 'N', 'from memory'),
  names('LR8D425', '25A', '単6', 'AAAA'),
  names('6LR61', '1604A', '', '9V PP3', 'from memory'),
  names('6F22', '1604D', '', '9V PP3', 'from memory'),
  names('CR17345', '5018LC', '', '123A CR123A'),
  names('CR-P2', '5024LC', '', '223A', 'ANSI read'),
  names('2CR5', '5032LC', '', '245', 'ANSI read'),
  names('CR15H270', '5046LC', '', 'CR2', 'ANSI read, IEC name from memory'),
  names('CR2032', '5004LC', '', ''),
  names('8LR932', '1181A', '', '23A', 'from memory'),
  names('8LR732', '', '', '27A', 'from memory'),
]

/** Spellings that fold to one name: upper case without blanks, hyphens and points. */
export const foldName = (name: string): string => name.toUpperCase().replace(/[\s.-]/g, '')

/** Names that look like a designation or a quantity and are neither; folded, to the designation meant. */
const SPELLINGS: Record<string, string> = { CR123: 'CR17345', CRP2: 'CR-P2' }

const ALIASES: ReadonlyMap<string, readonly string[]> = (() => {
  const found = new Map<string, string[]>()
  const add = (name: string, iec: string) => {
    const known = found.get(name) ?? []
    if (!known.includes(iec)) found.set(name, [...known, iec])
  }
  for (const { iec, ansi, jis, trade } of CELL_NAMES)
    for (const name of [ansi, jis, ...trade]) if (name) add(foldName(name), iec)
  for (const [name, iec] of Object.entries(SPELLINGS)) add(name, iec)
  return found
})()

/**
 * Designations that a name may stand for: one where it is settled, several for a size such as AA that several
 * systems share, none for what is no name.
 *
 * @source ansi-c18 as quoted by public lists, iec-60086-2 from memory; see the certainty of each row
 * @example designationsOf('CR-123A') // ['CR17345']
 */
export const designationsOf = (name: string): readonly string[] => ALIASES.get(foldName(name)) ?? []

/** Other names of a designation. */
export const otherNames = (designation: string): readonly string[] =>
  CELL_NAMES.filter(({ iec }) => iec === designation).flatMap(({ ansi, trade }) => [...trade, ...(ansi ? [ansi] : [])])
