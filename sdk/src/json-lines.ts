/** Each line of an NDJSON answer as it comes. */
export async function* jsonLines<T>(response: Response): AsyncGenerator<T> {
  const decoder = new TextDecoder()
  const reader = response.body!.getReader()
  let rest = ''
  try {
    for (let read = await reader.read(); !read.done; read = await reader.read()) {
      const lines = (rest + decoder.decode(read.value, { stream: true })).split('\n')
      rest = lines.pop()!
      for (const line of lines) yield JSON.parse(line) as T
    }
    if (rest !== '') yield JSON.parse(rest) as T
  } finally {
    await reader.cancel()
  }
}
