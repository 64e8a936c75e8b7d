import type { Finding } from '../findings/finding.ts'

/** What is read before what it may replace or complete comes last. */
const KINDS: readonly Finding['kind'][] = ['condition', 'context', 'answer', 'screen', 'unmapped', 'reading']

/** Everything that a finding holds, in one order. */
const FIELDS = [
  ...['condition', 'context', 'check', 'reading', 'state', 'result', 'complete', 'ask'],
  ...['value', 'meter', 'percentOfReading', 'absolute', 'device'],
  ...['reliability', 'tense', 'untilMs', 'observedMs'],
]

const contentOf = (finding: Finding) => `${KINDS.indexOf(finding.kind)}${JSON.stringify(finding, FIELDS)}`

/** Positions of findings by what they say and not by where they stand, so that nothing hangs on the order they are sent in. */
export function byContent(findings: readonly Finding[]): number[] {
  const contents = findings.map(contentOf)
  const compare = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0)
  return [...findings.keys()].sort((a, b) => compare(contents[a]!, contents[b]!) || a - b)
}
