/** Answers of the service itself to the examples of the document, for the operations that a newcomer tries first. */

// biome-ignore lint/suspicious/noExplicitAny: a document is walked, not understood.
type Json = Record<string, any>
export type Ask = (path: string, init: RequestInit) => Response | Promise<Response>

/** Operations whose answer is shown, with how many entries of each list; all of them where none is given. */
const SHOWN: Record<string, { most?: number }> = {
  diagnose: { most: 2 },
  sizeBattery: {},
  matchParts: {},
  getConcept: {},
}
const JSON_TYPE = 'application/json'

/** What keeps people safe is shown whole. */
const NEVER_CUT: ReadonlySet<string> = new Set(['cautions', 'dangerQuestions'])

/** The value with no list longer than that, but for those that are never cut; nothing else of it is changed. */
export function cutTo(value: unknown, most: number): unknown {
  if (typeof value !== 'object' || value === null) return value
  if (Array.isArray(value)) return value.slice(0, most).map((inner) => cutTo(inner, most))
  const cut = Object.entries(value).map(([key, inner]) => [key, NEVER_CUT.has(key) ? inner : cutTo(inner, most)])
  return Object.fromEntries(cut)
}

interface Shown {
  path: string
  method: string
  operation: Json
  most: number
}

/** The operations of `SHOWN` in a document. */
export function shownIn(document: Json): Shown[] {
  return Object.entries<Json>(document.paths).flatMap(([path, item]) =>
    Object.entries<Json>(item).flatMap(([method, operation]) => {
      const shown = SHOWN[operation.operationId]
      return shown ? [{ path, method, operation, most: shown.most ?? Number.POSITIVE_INFINITY }] : []
    }),
  )
}

/** The body that the document gives as an example. */
function bodyOf(document: Json, { requestBody }: Json): unknown {
  const content = requestBody?.content[JSON_TYPE]
  if (content === undefined) return undefined
  return content.example ?? document.components.schemas[content.schema.$ref.split('/').at(-1)].example
}

/** What the service answers where an operation is asked as its own examples say. */
export async function answerTo(document: Json, { path, method, operation }: Shown, ask: Ask): Promise<unknown> {
  const target = (operation.parameters ?? []).reduce(
    (text: string, { name, schema }: Json) => text.replace(`{${name}}`, schema.example),
    path,
  )
  const body = bodyOf(document, operation)
  const response = await ask(target, {
    method: method.toUpperCase(),
    headers: { Accept: JSON_TYPE, 'Content-Type': JSON_TYPE },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  })
  if (response.status !== 200) throw new Error(`${method} ${target} answers ${response.status}, and is to be shown`)
  return response.json()
}

/** Puts the answers into the document. */
export async function showAnswers(document: Json, ask: Ask): Promise<void> {
  for (const shown of shownIn(document)) {
    const answer = await answerTo(document, shown, ask)
    const cut = Number.isFinite(shown.most) ? `, each list cut after ${shown.most} entries but those of dangers` : ''
    const summary = `What the service answers to the example of the request${cut}`
    shown.operation.responses[200].content[JSON_TYPE].examples = {
      answer: { summary, value: cutTo(answer, shown.most) },
    }
  }
}
