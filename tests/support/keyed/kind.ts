import { ask, type Send } from '../service.ts'

/** A thing of one shop. */
export interface Made {
  /** Values of the path's parameters. */
  params: Record<string, string>
  /** Texts that stand in this thing and nowhere else: no other shop may ever read one. */
  marks: string[]
}
/** A request that its owner is answered with 2xx. */
export interface Request {
  body?: unknown
  query?: string
  headers?: Record<string, string>
}
export interface Kind {
  /** Every keyed path that begins so is about this kind. */
  under: string
  /** Makes one; `nth` differs from call to call. */
  make: (owner: Send, nth: number) => Promise<Made>
  /** Request of each operation that needs more than its path, by operationId. */
  requests: Record<string, (made: Made, owner: Send) => Request | Promise<Request>>
  /** Operations that, asked by another shop with the same name, make a thing of its own. */
  makesOwn?: string[]
  /** Operations that take any short text as the name of a thing. */
  takesAnyName?: string[]
  /** Path by which the owner reads the thing, to see that nobody else has touched it. */
  readAt: (made: Made) => string
}

/** A public operation that takes a thing kept by a shop by its name: another shop that names it is refused. */
export interface Borrowed {
  kind: string
  path: string
  body: (made: Made) => unknown
}

/** The body of what must succeed. */
export async function done(
  owner: Send,
  method: string,
  path: string,
  body?: unknown,
  headers: Record<string, string> = {},
) {
  const answer = await ask(owner, method, path, body, headers)
  if (answer.status >= 300) throw new Error(`${method} ${path} was not done: ${JSON.stringify(answer.body)}`)
  return answer.body
}

export const ANY_STATE = { 'If-Match': '*' }
let keys = 0
/** A header that has not been sent before. */
export const newIdempotencyKey = () => ({ 'Idempotency-Key': `walked-${++keys}` })
