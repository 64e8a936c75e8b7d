import { ProblemError } from './problem.ts'

/** A cursor holds the filters it was made under, so that it cannot be used with others. */
export function encodeCursor(offset: number, filters: string): string {
  const bytes = new TextEncoder().encode(JSON.stringify([offset, filters]))
  return btoa(String.fromCharCode(...bytes))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replaceAll('=', '')
}

/** The place a cursor stands for. @throws 422 for one of other filters or of nobody's making */
export function decodeCursor(cursor: string, filters: string): number {
  try {
    const bytes = Uint8Array.from(atob(cursor.replaceAll('-', '+').replaceAll('_', '/')), (char) => char.charCodeAt(0))
    const [offset, made] = JSON.parse(new TextDecoder().decode(bytes)) as [unknown, unknown]
    if (Number.isSafeInteger(offset) && (offset as number) >= 0 && made === filters) return offset as number
  } catch {
    // Anything that does not decode is refused below, as a cursor of other filters is.
  }
  throw new ProblemError('INPUT_INVALID', 'cursor must come from the page before, with the same filters', [
    { pointer: '?cursor', code: 'CURSOR_INVALID', detail: 'not a cursor of this list', value: cursor },
  ])
}
