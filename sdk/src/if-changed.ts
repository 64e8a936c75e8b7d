import type { CallOptions, Result } from './client.ts'

export type Changed<T> = { changed: true; result: Result<T>; etag: string | undefined } | { changed: false }

/**
 * A read that says whether anything is new since the answer with this ETag; a 304 is a value, not an error.
 *
 * @example await ifChanged(etag, (options) => atlas.getManifest('latest', options))
 */
export async function ifChanged<T>(
  etag: string | undefined,
  read: (options: CallOptions) => Promise<Result<T>>,
  options: CallOptions = {},
): Promise<Changed<T>> {
  const result = await read(etag === undefined ? options : { ...options, ifNoneMatch: etag })
  if (result.response.status === 304) return { changed: false }
  return { changed: true, result, etag: result.response.headers.get('etag') ?? undefined }
}
