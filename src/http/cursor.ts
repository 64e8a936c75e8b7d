import { ProblemError } from './problem.ts'

type Place = readonly (number | string)[]

/** A cursor holds the filters it was made under, so that it cannot be used with others. */
export function encodePlace(place: Place, filters: string): string {
  const bytes = new TextEncoder().encode(JSON.stringify([...place, filters]))
  return btoa(String.fromCharCode(...bytes))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replaceAll('=', '')
}

function partsOf(cursor: string): unknown[] {
  try {
    const bytes = Uint8Array.from(atob(cursor.replaceAll('-', '+').replaceAll('_', '/')), (char) => char.charCodeAt(0))
    const parts: unknown = JSON.parse(new TextDecoder().decode(bytes))
    return Array.isArray(parts) ? parts : []
  } catch {
    return []
  }
}

/** The place a cursor stands for, of the form that `isPlace` knows. @throws 422 for one of other filters or of nobody's making */
export function decodePlace<P extends Place>(
  cursor: string,
  filters: string,
  isPlace: (place: readonly unknown[]) => place is P,
): P {
  const parts = partsOf(cursor)
  const place = parts.slice(0, -1)
  if (parts.at(-1) === filters && isPlace(place)) return place
  throw new ProblemError('INPUT_INVALID', 'cursor must come from the page before, with the same filters', [
    { pointer: '?cursor', code: 'CURSOR_INVALID', detail: 'not a cursor of this list', value: cursor },
  ])
}

const isOffset = (place: readonly unknown[]): place is [number] =>
  place.length === 1 && Number.isSafeInteger(place[0]) && (place[0] as number) >= 0

/** A cursor of a list that stands still, by how many items come before. */
export const encodeCursor = (offset: number, filters: string) => encodePlace([offset], filters)

/** How many items come before. @throws 422 as `decodePlace` */
export const decodeCursor = (cursor: string, filters: string): number => decodePlace(cursor, filters, isOffset)[0]
