import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'

const release = currentRelease().compiled
const at = (finding: Finding, minute: number): Finding => ({ ...finding, observedMs: minute * 60_000 })
const answer = (check: string, result: string, device?: string): Finding => {
  return { kind: 'answer', check: `check/${check}`, result, ...(device === undefined ? {} : { device }) }
}
const condition = (id: string, state: 'present' | 'absent', device?: string): Finding => {
  return { kind: 'condition', condition: `condition/${id}`, state, ...(device === undefined ? {} : { device }) }
}
const holds = (id: string): Finding => ({ kind: 'context', context: `context/${id}`, state: 'holds' })
const both = (...findings: Finding[]) => [findings, findings.toReversed()]

describe('of two findings about the same, the one that was seen later counts, in whatever order they come', () => {
  test.each([
    ['an answer that opens a gate', answer('ask-on-test', 'not-on-test'), answer('ask-on-test', 'on-test')],
    ['a circumstance in place of an answer', answer('ask-on-test', 'not-on-test'), holds('on-test')],
    ['an answer of what is seen', answer('read-mains-lamp', 'off'), answer('read-mains-lamp', 'lit')],
    ['a condition that has gone', condition('battery-low', 'present'), condition('battery-low', 'absent')],
  ])('%s', (_, first, second) => {
    const alone = gather(release, [second])
    for (const findings of both(at(first, 1), at(second, 5))) {
      const known = gather(release, findings)
      expect(known.contradictions).toEqual([])
      expect(known.unused.map((index) => findings[index]!.observedMs)).toEqual([60_000])
      expect([...known.contexts.keys()]).toEqual([...alone.contexts.keys()])
      expect(known.evidence.map(({ effect, level }) => [effect, level])).toEqual(
        alone.evidence.map(({ effect, level }) => [effect, level]),
      )
    }
  })

  test('so that a caller who has called the monitoring center may go on', () => {
    const cell = [condition('radio-sensor-battery-low', 'present'), answer('ask-cells-age', 'over-two-years')]
    const permitAfter = (...more: Finding[]) =>
      advise({ release, findings: [...cell, ...more], limits: { who: 'caller', tools: [] } }).plan[0]!.permit.verdict
    const before = at(answer('ask-on-test', 'not-on-test'), 1)
    expect([permitAfter(before), permitAfter(before, at(answer('ask-on-test', 'on-test'), 9))]).toEqual([
      'refused',
      'allowed',
    ])
  })
})

describe('nothing is replaced', () => {
  const [no, yes] = [answer('ask-on-test', 'not-on-test'), answer('ask-on-test', 'on-test')]

  test.each([
    ['without times', no, yes],
    ['where one has no time', at(no, 1), yes],
    ['at one time', at(no, 1), at(yes, 1)],
  ])('%s: the two contradict each other', (_, first, second) => {
    expect(gather(release, [first, second]).contradictions).toHaveLength(1)
  })

  test('by what is said of another device', () => {
    const findings = [condition('sensor-tamper', 'present', 'hall'), condition('sensor-tamper', 'absent', 'attic')]
    expect(gather(release, [at(findings[0]!, 1), at(findings[1]!, 5)]).unused).toEqual([])
  })

  test('by somebody who does not know', () => {
    const known = gather(release, [at(yes, 1), at(answer('ask-on-test', 'dont-know'), 5)])
    expect([...known.contexts.keys()].map((context) => release.contexts[context]!.id)).toContain('context/on-test')
  })

  test('of a danger that was noticed', () => {
    const findings = [at(answer('danger-burning', 'burning'), 1), at(answer('danger-burning', 'no'), 5)]
    expect(advise({ release, findings, limits: { who: 'caller', tools: [] } }).stop).toBe('danger')
  })
})
