/**
 * A call sheet on the command line, without a network: node call-sheet.mjs condition/battery-low condition/mains-missing
 * Answers are typed as they are offered; an empty line is "don't know".
 */
import { stdin, stdout } from 'node:process'
import { createInterface } from 'node:readline'
import { GuidedCall } from '@trouble-atlas/sdk'
import { offlineAtlas } from '@trouble-atlas/sdk/offline'

const conditions = process.argv.slice(2)
if (conditions.length === 0) {
  console.error('Name what the keypad shows, such as condition/battery-low')
  process.exit(1)
}
const call = new GuidedCall(offlineAtlas())
await call.add(...conditions.map((condition) => ({ kind: 'condition', condition, state: 'present' })))
if (call.view.error) {
  console.error(call.view.error.message)
  process.exit(1)
}

const lines = createInterface({ input: stdin })[Symbol.asyncIterator]()
while (call.view.question) {
  const { ask, results } = call.view.question
  stdout.write(`${ask}\n  ${results.map(({ result, label }) => `${result}: ${label}`).join('\n  ')}\n> `)
  const { value, done } = await lines.next()
  if (done) break
  const answer = value.trim() || 'dont-know'
  const isOffered = answer === 'dont-know' || results.some(({ result }) => result === answer)
  if (isOffered) await call.answer(answer)
  else console.log(`Please answer one of ${results.map(({ result }) => result).join(', ')}`)
}
console.log(`\n${call.summary()}`)
process.exit(0)
