import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { CAUSE, present, smallRelease } from '../../support/small-release.ts'

/** The small release with a reading of each radio device's cell. */
function withCellReading() {
  const base = smallRelease()
  const effects = [
    ...base.effects,
    {
      id: 'reading/cell#low',
      isPerDevice: true,
      leak: [0.95, 0.05],
      links: [{ cause: CAUSE.radioCell, levels: [0.1, 0.9] }],
    },
  ]
  const reading = {
    ...base.readings[0]!,
    id: 'reading/cell',
    isPerDevice: true,
    edges: [2.8],
    bands: ['low', 'healthy'],
  }
  const { high: _, ...low } = { ...reading, low: base.effects.length }
  return { ...base, effects, readings: [...base.readings, low] }
}
const chanceOf = (findings: Finding[], device: string) =>
  advise({ release: withCellReading(), findings, limits: { who: 'handy', tools: [] } }).causes.find(
    (item) => item.cause === CAUSE.radioCell && item.device === device,
  )?.probability ?? 0

const twoLow = [present('radio-low', { device: 'hall' }), present('radio-low', { device: 'attic' })]
const cell = (device: string, value: number): Finding => ({ kind: 'reading', reading: 'reading/cell', value, device })

describe('a reading of a device', () => {
  test('moves the causes of that device and leaves those of another', () => {
    const before = chanceOf(twoLow, 'attic')
    expect(chanceOf([...twoLow, cell('hall', 2.2)], 'hall')).toBeGreaterThan(chanceOf(twoLow, 'hall'))
    expect(chanceOf([...twoLow, cell('hall', 2.2)], 'attic')).toBeCloseTo(before, 12)
  })

  test('of two devices makes two items of evidence', () => {
    const findings = [...twoLow, cell('hall', 2.2), cell('attic', 3.1)]
    expect(chanceOf(findings, 'hall')).toBeGreaterThan(chanceOf(findings, 'attic'))
  })
})

test('a condition of the system is explained by a cause on any named device', () => {
  const base = smallRelease()
  const effects = base.effects.map((effect, index) =>
    index === 1 ? { ...effect, links: [...effect.links, { cause: CAUSE.dampCell, levels: [0.05, 0.95] }] } : effect,
  )
  const dampOf = (findings: Finding[]) =>
    advise({ release: { ...base, effects }, findings, limits: { who: 'handy', tools: [] } }).causes.find(
      ({ cause, device }) => cause === CAUSE.dampCell && device === 'attic',
    )?.probability ?? 0
  const low = present('radio-low', { device: 'attic' })
  expect(dampOf([low, present('supply-missing')])).toBeGreaterThan(dampOf([low]))
})

test('a condition of the system that stands alone is explained by a cause on a device nobody named', () => {
  const base = smallRelease()
  const effects = base.effects.map((effect, index) =>
    index === 1 ? { ...effect, links: [{ cause: CAUSE.dampCell, levels: [0.05, 0.95] }] } : effect,
  )
  const [first] = advise({
    release: { ...base, effects },
    findings: [present('supply-missing')],
    limits: { who: 'handy', tools: [] },
  }).causes
  expect([first!.cause, first!.device]).toEqual([CAUSE.dampCell, undefined])
})

test('a figure answers the check that takes the reading, so that what requires its band may follow', () => {
  const base = smallRelease()
  const checks = base.checks.map((check) =>
    check.id === 'check/case-bulged'
      ? { ...check, disturbs: [], hazards: [], requires: [{ check: 2, result: 'low' }] }
      : check,
  )
  const offered = (value: number) =>
    advise({
      release: { ...base, checks },
      findings: [present('battery-low'), { kind: 'reading', reading: 'reading/rest-voltage', value }],
      limits: { who: 'handy', tools: [] },
    }).searched.checks.map(({ check }) => check)
  expect(offered(11.95)).toContain(1)
  expect(offered(13)).not.toContain(1)
})
