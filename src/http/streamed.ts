import type { MiddlewareHandler } from 'hono'

/** Paths whose body or answer is a stream: nothing is gathered to be measured or hashed there. */
export const STREAMED_PATH = '/v1/signals/stream'
export const IS_STREAMED = /^\/v1\/(?:signals\/stream|catalogue\/export|catalogue\/imports\/[^/]+\/parts\/[^/]+)$/
export const unlessStreamed =
  (inner: MiddlewareHandler): MiddlewareHandler =>
  (c, next) =>
    IS_STREAMED.test(c.req.path) ? next() : inner(c, next)

/** A body sent as its pieces are made; nothing is gathered, and nothing more is made once nobody reads. */
export function streamOf(pieces: AsyncGenerator<string>): ReadableStream<Uint8Array> {
  const encoder = new TextEncoder()
  return new ReadableStream({
    async pull(controller) {
      const { value, done } = await pieces.next()
      if (done) controller.close()
      else controller.enqueue(encoder.encode(value))
    },
    cancel: async () => void (await pieces.return(undefined)),
  })
}
