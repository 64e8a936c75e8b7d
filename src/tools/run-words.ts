import { parseArgs } from 'node:util'
import { currentRelease } from '../ontology/release.ts'
import { preparedLexicon } from '../services/lexicon.ts'
import { readCases } from './cases/case.ts'
import { type Heard, hear, hearCall, scoreOf, type WordScore } from './words/score.ts'
import { isSetAside, readUtterances, UTTERANCES_SHA256 } from './words/utterances.ts'

/**
 * Interprets the written utterances of tests/cases-words and prints how well the suggestions do, the tuned half beside the
 * half set aside; then how many of the conditions of the written calls of tests/cases it hears in their first words.
 * Option: --verbose (what is not fully right in the tuned ones).
 */

const FILE = 'tests/cases-words/utterances.json'
const { values } = parseArgs({ options: { verbose: { type: 'boolean' } } })
const figure = (value: number) => (Number.isNaN(value) ? '-' : Number(value.toFixed(3)).toString())

function table(columns: readonly (readonly [string, WordScore])[]): void {
  console.log(`${''.padEnd(20)}${columns.map(([name]) => name.padStart(12)).join('')}`)
  for (const key of Object.keys(columns[0]![1]) as (keyof WordScore)[])
    console.log(`${key.padEnd(20)}${columns.map(([, score]) => figure(score[key]).padStart(12)).join('')}`)
}

const isRight = ({ ids, utterance: { expect, negated = [] } }: Heard) =>
  (ids.length === 0 ? expect.length === 0 : expect.includes(ids[0]!)) &&
  expect.every((id) => ids.slice(0, 5).includes(id)) &&
  negated.every((id) => !ids.includes(id))

function describe({ utterance: { text, expect, negated = [] }, answer: { dangers, suggestions } }: Heard): string {
  const listed = [...dangers, ...suggestions].slice(0, 6)
  const found = listed.map(({ id, state, score, matched }) => {
    const sign = state === 'absent' ? 'not ' : ''
    return `      ${sign}${id} ${score.toFixed(2)} (${matched.join(' ')})`
  })
  const denied = negated.length > 0 ? ` not ${negated.join(', ')}` : ''
  return `  ${text}\n    means ${expect.join(', ') || 'nothing'}${denied}\n${found.join('\n')}`
}

function run(): void {
  const { utterances, sha256 } = readUtterances(FILE)
  if (sha256 !== UTTERANCES_SHA256) throw new Error(`the utterances are not those that were set down first: ${sha256}`)
  const lexicon = preparedLexicon(currentRelease(), 'en-US')
  const heard = utterances.map((utterance) => hear(lexicon, utterance))
  const tuned = heard.filter(({ utterance }) => !isSetAside(utterance))
  const aside = heard.filter(({ utterance }) => isSetAside(utterance))
  console.log(`${utterances.length} utterances over release ${currentRelease().version}`)
  table([
    ['tuned', scoreOf(tuned)],
    ['set aside', scoreOf(aside)],
  ])
  const most = Math.max(...heard.map(({ answer }) => answer.work))
  console.log(`most work for one utterance: ${most} looks`)
  const [tunedCalls, heldOut] = (['tuned', 'heldOut'] as const).map((set) =>
    readCases(set).map((one) => hearCall(lexicon, one)),
  ) as [Heard[], Heard[]]
  console.log(`\n${tunedCalls.length + heldOut.length} first words of written calls, conditions alone`)
  table([
    ['tuned', scoreOf(tunedCalls)],
    ['held out', scoreOf(heldOut)],
  ])
  const wrong = [...tuned, ...tunedCalls].filter((one) => !isRight(one))
  if (values.verbose) console.log(`\n${wrong.map(describe).join('\n')}`)
}

run()
