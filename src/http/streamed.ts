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
