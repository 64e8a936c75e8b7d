import type { Advice, RankedCause } from '../domain/advice/advise.ts'
import { decibans } from '../domain/advice/explain.ts'
import { shownProbability, strengthOf } from '../domain/advice/wording-scale.ts'
import { DONT_KNOW, type Finding } from '../domain/findings/finding.ts'
import { written } from '../domain/quantities/derivation.ts'
import type { Check, Reading, Text } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

/** The English name of a concept: sentences are English throughout. */
const nameOf = (wording: Wording, id: string) => wording.say(wording.concept<{ label: Text }>(id).label)

/** What came of a remedy, as far as it counts. */
const TRIED_WORDS = { 'no-change': 'done in vain', cleared: 'done with success', 'came-back': 'done' } as const

/** A finding as a caller would say it again. */
function wordFinding(wording: Wording, finding: Finding): string {
  const at = finding.device === undefined ? '' : ` (${finding.device})`
  if (finding.kind === 'condition') {
    const name = `"${nameOf(wording, finding.condition)}"${at}`
    return finding.state === 'present' ? `the item ${name}` : `the absence of ${name}`
  }
  if (finding.kind === 'reading') {
    const { unit } = wording.concept<Reading>(finding.reading)
    return `${nameOf(wording, finding.reading)}${at} of ${written(finding.value)} ${unit}`
  }
  if (finding.kind === 'context') {
    const name = `"${nameOf(wording, finding.context)}"${at}`
    return finding.state === 'holds' ? name : `that ${name} does not hold`
  }
  if (finding.kind === 'tried') return `"${nameOf(wording, finding.remedy)}"${at} ${TRIED_WORDS[finding.result]}`
  if (finding.kind !== 'answer') return 'the display'
  const { label: question, results } = wording.concept<Check>(finding.check)
  const result = results.find(({ id }) => id === finding.result)
  return `${wording.say(question)}${at}: "${result ? wording.say(result.label) : DONT_KNOW}"`
}

/** The findings behind one step of an account, each fact once; a display that was read whole speaks by what it does not show. */
function wordFindings(wording: Wording, findings: readonly Finding[], positions: readonly number[]): string[] {
  if (positions.length === 0) return ['what the display does not show']
  return [...new Set(positions.map((position) => wordFinding(wording, findings[position]!)))]
}

const asSentence = (text: string) => `${text[0]!.toUpperCase()}${text.slice(1)}.`

/** "Rest voltage of 11.4 V speaks strongly for this.", "The item "AC power missing" speaks for this." */
export function evidenceSentence(
  wording: Wording,
  findings: readonly Finding[],
  step: { findings: readonly number[]; decibans: number },
): string {
  const facts = wordFindings(wording, findings, step.findings)
  const strength = strengthOf(step.decibans)
  return asSentence(`${facts.join(' and ')} ${facts.length > 1 ? strength.replace(/^speaks/, 'speak') : strength}`)
}

const percent = (probability: number) => `${Math.round(100 * shownProbability(probability))} %`
const fromDecibans = (value: number) => 1 / (1 + 10 ** (-value / 10))

function withoutStrongest(wording: Wording, findings: readonly Finding[], leader: RankedCause, name: string): string[] {
  const known = leader.evidence.filter((step) => step.findings.length > 0)
  const strongest = known.reduce<(typeof known)[number] | undefined>(
    (best, step) => (best === undefined || Math.abs(step.ifLeftOut) > Math.abs(best.ifLeftOut) ? step : best),
    undefined,
  )
  if (!strongest) return []
  const without = fromDecibans(decibans(leader.probability) - strongest.ifLeftOut)
  const item = wordFindings(wording, findings, strongest.findings).join(' and ')
  return [`Without ${item}, "${name}" would stand at ${percent(without)} instead of ${percent(leader.probability)}.`]
}

/** The finding that carries the cause in front, and the answer to the next check that would put another in front. */
export function wordWouldChange(wording: Wording, findings: readonly Finding[], advice: Advice): string[] {
  const [leader] = advice.causes
  if (!leader) return []
  const { keys, release } = advice.known.instance
  const overturning = advice.searched.checks.flatMap(({ check, results }) =>
    results.flatMap(({ result, posterior }) => {
      const front = posterior.indexOf(Math.max(...posterior))
      if (keys[front]!.cause === leader.cause) return []
      const concept = wording.concept<Check>(release.checks[check]!.id)
      const said = wording.say(concept.results.find(({ id }) => id === result)!.label)
      const rival = nameOf(wording, release.causes[keys[front]!.cause]!.id)
      return [
        `If "${wording.say(concept.label)}" gives "${said}", "${rival}" comes to the front with ${percent(posterior[front]!)}.`,
      ]
    }),
  )
  return [
    ...withoutStrongest(wording, findings, leader, nameOf(wording, release.causes[leader.cause]!.id)),
    ...overturning.slice(0, 2),
  ]
}
