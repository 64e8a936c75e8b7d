import type { Result } from './client.ts'

interface Page<T> {
  items: T[]
  /** Cursor of the page after this one. */
  next?: string | undefined
}

/**
 * Every item of a list, page after page, as they are wanted.
 *
 * @example for await (const concept of items((cursor) => atlas.listConcepts('latest', { kind: 'hazard', cursor }))) …
 */
export async function* items<T>(page: (cursor: string | undefined) => Promise<Result<Page<T>>>): AsyncGenerator<T> {
  let cursor: string | undefined
  do {
    const { value } = await page(cursor)
    yield* value.items
    cursor = value.next
  } while (cursor !== undefined)
}

/** The first items of a list; the limit keeps a forgotten filter from reading everything. */
export async function collect<T>(list: AsyncIterable<T>, { limit }: { limit: number }): Promise<T[]> {
  const found: T[] = []
  if (limit <= 0) return found
  for await (const item of list) if (found.push(item) >= limit) break
  return found
}
