import type { Finding } from '../findings/finding.ts'

/** What is read before what it may replace or complete comes last. */
const KINDS: readonly Finding['kind'][] = ['condition', 'context', 'answer', 'screen', 'unmapped', 'reading', 'tried']

/** Everything that a finding of any kind may hold. */
type Fields = Partial<
  Record<(typeof FIELDS)[number], string | number | boolean> & { meter: { percentOfReading: number; absolute: number } }
>

/** What is free of form comes last, so that no two findings read alike. */
const FIELDS = [
  ...(['condition', 'context', 'check', 'reading', 'remedy', 'state', 'result', 'complete', 'ask', 'value'] as const),
  ...(['reliability', 'tense', 'untilMs', 'observedMs', 'device'] as const),
]

function contentOf(finding: Finding): string {
  const fields = finding as Fields
  let content = `${KINDS.indexOf(finding.kind)} ${fields.meter?.percentOfReading} ${fields.meter?.absolute}`
  for (const field of FIELDS) content += ` ${fields[field]}`
  return content
}

/** Positions of findings by what they say and not by where they stand, so that nothing hangs on the order they are sent in. */
export function byContent(findings: readonly Finding[]): number[] {
  const contents = findings.map(contentOf)
  const compare = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0)
  return [...findings.keys()].sort((a, b) => compare(contents[a]!, contents[b]!) || a - b)
}
