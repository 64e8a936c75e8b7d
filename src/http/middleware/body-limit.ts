import { bodyLimit } from 'hono/body-limit'
import { LIMITS } from '../limits.ts'
import { ProblemError } from '../problem.ts'
import { unlessStreamed } from '../streamed.ts'

/** Refuses a body over the limit before anything is made of it. A body of unstated length is read here, up to the limit. */
export const limitBody = unlessStreamed(
  bodyLimit({
    maxSize: LIMITS.bodyBytes,
    onError: () => {
      const limit = { pointer: '', code: 'BODY_TOO_LARGE', detail: 'body', limit: LIMITS.bodyBytes }
      throw new ProblemError('BODY_TOO_LARGE', `The body must be at most ${LIMITS.bodyBytes} bytes`, [limit])
    },
  }),
)
