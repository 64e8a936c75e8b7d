import { ProblemError } from '../../problem.ts'

/** A cursor holds the SKU that a page ended with and the filters it was made under. */
export function encodeAfter(sku: string, filters: string): string {
  const bytes = new TextEncoder().encode(JSON.stringify([sku, filters]))
  return btoa(String.fromCharCode(...bytes))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replaceAll('=', '')
}

/** The SKU a cursor stands for. @throws 422 for one of other filters or of nobody's making */
export function decodeAfter(cursor: string, filters: string): string {
  try {
    const bytes = Uint8Array.from(atob(cursor.replaceAll('-', '+').replaceAll('_', '/')), (char) => char.charCodeAt(0))
    const [sku, made] = JSON.parse(new TextDecoder().decode(bytes)) as [unknown, unknown]
    if (typeof sku === 'string' && made === filters) return sku
  } catch {
    // Anything that does not decode is refused below, as a cursor of other filters is.
  }
  throw new ProblemError('INPUT_INVALID', 'cursor must come from the page before, with the same filters', [
    { pointer: '?cursor', code: 'CURSOR_INVALID', detail: 'not a cursor of this list', value: cursor },
  ])
}
