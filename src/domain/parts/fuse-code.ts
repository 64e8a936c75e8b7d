/** Rated current and what else the mark on a miniature fuse says. */
export interface FuseCode {
  /** FF very quick, F quick, M medium, T time-lag, TT long time-lag. */
  speed: 'FF' | 'F' | 'M' | 'T' | 'TT'
  ratedCurrentA: number
  /** L low, E enhanced, H high. */
  breakingCapacity?: 'L' | 'E' | 'H'
  voltageV?: number
  /** Characters of the text that the mark takes. */
  length: number
}

const MARK =
  /^(FF|TT|F|M|T) ?(\d{1,4}(?:[.,]\d{1,3})?) ?(mA|A)(?: ?([LEH])(?![A-Za-z]))?(?: ?(\d{2,3}) ?V(?: ?AC)?(?![A-Za-z]))?(?![A-Za-z])/
/** A decimal comma in a current such as 3,15 A; nothing else stands on a fuse. */
const decimal = (text: string) => Number(text.replace(',', '.'))

/**
 * The mark of a miniature fuse at the beginning of a text; undefined for what is none.
 *
 * @validity marks of IEC 60127; a rating by the other family of standards (UL 248-14) is defined otherwise, so that
 *   equal numbers are no proof of an equal fuse (from memory)
 * @source iec-60127-1 and -2 letters (from memory); H = 1500 A at 250 V (read in public design notes)
 * @example readFuseCode('T1AH250V')?.ratedCurrentA // 1
 */
export function readFuseCode(text: string): FuseCode | undefined {
  const found = MARK.exec(text)
  if (!found) return undefined
  const [mark, speed, current, unit, breaking, volts] = found
  return {
    speed: speed as FuseCode['speed'],
    ratedCurrentA: unit === 'mA' ? decimal(current!) / 1000 : decimal(current!),
    ...(breaking === undefined ? {} : { breakingCapacity: breaking as 'L' | 'E' | 'H' }),
    ...(volts === undefined ? {} : { voltageV: Number(volts) }),
    length: mark.length,
  }
}
