import { expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'

const { compiled } = currentRelease()
const LIMITS = { who: 'caller', tools: ['multimeter'], isOwnerVerified: true } as const

/** What is advised when one condition is all that a display shows, and one question is answered. */
const after = (
  condition: string,
  check: string,
  result: string,
  { more = [], rates }: { more?: readonly Finding[]; rates?: ReadonlyMap<string, number> } = {},
) => {
  const findings: Finding[] = [
    { kind: 'condition', condition, state: 'present' },
    { kind: 'screen', complete: true },
    { kind: 'answer', check, result },
    ...more,
  ]
  return advise({ release: compiled, limits: LIMITS, findings, ...(rates ? { rates } : {}) })
}

test('a cell that is measured spent settles the low battery of its radio key', () => {
  const { stop, causes } = after('condition/radio-key-battery-low', 'check/cell-loaded-voltage', 'spent')
  expect(compiled.causes[causes[0]!.cause]!.id).toBe('cause/cell-worn')
  expect(stop).toBe('confident')
})

test('the age of the cells alone makes nobody confident, however likely it makes the cause: the cell is tried, and the rest asked then', () => {
  const rates = new Map([['cause/cell-worn', 0.15]])
  const age = after('condition/radio-keypad-battery-low', 'check/ask-cells-age', 'over-two-years', { rates })
  expect(age.causes[0]!.probability).toBeGreaterThan(0.9)
  expect(age.searched.checks.length).toBeGreaterThan(0)
  expect(age.stop).toBe('no-useful-check')
  expect(age.isActFirst).toBe(true)
})

test('once what stands is explained, questions that could change little are not waited for', () => {
  const { stop, causes, searched } = after('condition/battery-low', 'check/wall-switch-test', 'comes-on', {
    more: [
      { kind: 'context', context: 'context/battery-new', state: 'holds' },
      { kind: 'context', context: 'context/night-only', state: 'holds' },
      { kind: 'answer', check: 'check/read-mains-lamp', result: 'off' },
      { kind: 'answer', check: 'check/see-supply-plugged', result: 'in' },
    ],
  })
  expect(compiled.causes[causes[0]!.cause]!.id).toBe('cause/socket-switched-off')
  expect(searched.checks.length).toBeGreaterThan(0)
  expect(stop).toBe('no-useful-check')
})
