import { describe, expect, test } from 'vitest'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import { isAbout } from '../../../src/domain/advice/goes-with.ts'
import { present, smallRelease } from '../../support/small-release.ts'

const [BATTERY_LOW, , RADIO_LOW] = [0, 1, 2]
const NEAR = 6

describe('a question of a device that is about its items and about one of the whole system', () => {
  const base = smallRelease()
  const covered = { ...base.conditions[RADIO_LOW]!, id: 'condition/radio-covered', effect: base.effects.length }
  const putFor = (device: string, about: readonly number[], ...standing: ReturnType<typeof present>[]) => {
    const release: CompiledRelease = {
      ...base,
      effects: [...base.effects, { ...base.effects[RADIO_LOW]!, id: covered.id }],
      conditions: [...base.conditions, covered],
    }
    return isAbout(gather(release, standing), { ...release.checks[NEAR]!, about: [...about] }, device)
  }
  const system = present('battery-low')
  const both = [BATTERY_LOW, RADIO_LOW]

  test('is put for a device with one of its items', () => {
    expect(putFor('hall', both, system, present('radio-low', { device: 'hall' }))).toBe(true)
  })

  test('is not put for a device that shows other items alone: it is of another kind', () => {
    const other = present('radio-covered', { device: 'hall' })
    expect(putFor('hall', both, system, other)).toBe(false)
    expect(putFor('hall', both, system, other, present('radio-low', { device: 'hall' }))).toBe(true)
  })

  test('is put for one that shows nothing itself, and for any where it is about the whole system alone', () => {
    const other = present('radio-covered', { device: 'hall' })
    expect(putFor('porch', both, system, other)).toBe(true)
    expect(putFor('hall', [BATTERY_LOW], system, other)).toBe(true)
  })
})
