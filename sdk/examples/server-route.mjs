/**
 * A route of an own server that passes a complaint on and hides the service behind it: PORT=3000 ATLAS=http://127.0.0.1:8787
 * node server-route.mjs, then POST {"conditions": ["condition/battery-low"]} to it.
 */
import { createServer } from 'node:http'
import { InvalidInputError, TroubleAtlas } from '@trouble-atlas/sdk'

const atlas = new TroubleAtlas({ baseUrl: process.env.ATLAS ?? 'http://127.0.0.1:8787' })
const LARGEST_BODY = 10_000

async function bodyOf(request) {
  let text = ''
  for await (const part of request) {
    text += part
    if (text.length > LARGEST_BODY) throw new SyntaxError('too long')
  }
  return JSON.parse(text)
}

async function firstQuestion({ conditions = [] }) {
  const findings = conditions.map((condition) => ({ kind: 'condition', condition, state: 'present' }))
  const { value } = await atlas.diagnose({ findings })
  return {
    likely: value.causes[0]?.label,
    ask: value.nextChecks[0]?.ask,
    dangers: value.dangerQuestions.map((q) => q.ask),
  }
}

const statusOf = (error) => (error instanceof InvalidInputError || error instanceof SyntaxError ? 400 : 502)

const server = createServer(async (request, response) => {
  const answer = await bodyOf(request)
    .then(firstQuestion)
    .then((body) => ({ status: 200, body }))
    .catch((error) => ({ status: statusOf(error), body: { error: error.detail ?? 'The service gave no answer' } }))
  response.writeHead(answer.status, { 'Content-Type': 'application/json' }).end(JSON.stringify(answer.body))
})
server.listen(Number(process.env.PORT ?? 3000), '127.0.0.1', () =>
  console.log(`http://127.0.0.1:${server.address().port}`),
)
