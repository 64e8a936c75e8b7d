import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { absent, answered, CAUSE, present, smallRelease } from '../../support/small-release.ts'

const ask = (findings: Finding[]) => advise({ release: smallRelease(), findings, limits: { who: 'caller', tools: [] } })
const ranked = (findings: Finding[]) =>
  ask(findings).causes.map(({ cause, device, probability }) => [cause, device, probability])
const low = present('radio-low')
const lowIn = (device: string) => present('radio-low', { device })

describe('a condition of a device that is reported both with and without its name', () => {
  test('is one fact: the named device alone decides, and both findings stand behind it', () => {
    for (const findings of [
      [low, lowIn('hall')],
      [lowIn('hall'), low],
    ]) {
      const advice = ask(findings)
      expect(ranked(findings)).toEqual(ranked([lowIn('hall')]))
      expect(advice.known.evidence.map(({ findings: from }) => from)).toEqual([[0, 1]])
      expect(advice.known.present).toMatchObject([{ device: 'hall' }])
      expect([advice.known.unused, advice.known.contradictions]).toEqual([[], []])
    }
  })

  test('is as sure as the named report says', () => {
    const doubtful = present('radio-low', { device: 'hall', reliability: 0.8 })
    expect(ranked([low, doubtful])).toEqual(ranked([doubtful]))
  })

  test('adds nothing to two named devices, and stands behind each', () => {
    const findings = [lowIn('hall'), low, lowIn('attic')]
    expect(new Map(ranked(findings).map(([cause, device, chance]) => [`${cause} ${device}`, chance]))).toEqual(
      new Map(ranked([lowIn('hall'), lowIn('attic')]).map(([cause, device, chance]) => [`${cause} ${device}`, chance])),
    )
    const { known } = ask(findings)
    expect(new Set(known.evidence.flatMap(({ findings: from }) => [from.join()]))).toEqual(new Set(['0,1', '1,2']))
  })

  test('stays as it is while no device is named', () => {
    const [first] = ask([low]).causes
    expect([first!.cause, first!.device]).toEqual([CAUSE.radioCell, undefined])
  })

  test('stays as it is beside a device on which another condition stands', () => {
    const devices = ask([low, present('battery-low', { device: 'hall' })]).known.present.map(({ device }) => device)
    expect(devices).toContain(undefined)
  })

  test('stays as it is beside a device that is said to be well, or was ill earlier, or is disputed', () => {
    for (const others of [
      [absent('radio-low', { device: 'hall' })],
      [present('radio-low', { device: 'hall', tense: 'earlier' })],
      [lowIn('hall'), absent('radio-low', { device: 'hall' })],
    ])
      expect(ask([low, ...others]).known.present).toEqual([expect.not.objectContaining({ device: 'hall' })])
  })

  test('that is denied as well stays disputed, and the named device stands', () => {
    const { known } = ask([low, absent('radio-low'), lowIn('hall')])
    expect(known.contradictions).toEqual([{ findings: [0, 1], about: 'condition/radio-low' }])
    expect(known.present).toMatchObject([{ device: 'hall' }])
  })

  test('takes along the answers that name no device, so that none is put again', () => {
    const { known, searched } = ask([low, answered('radio-near', 'no'), lowIn('hall')])
    const near = 6
    expect([...known.asked]).toEqual([`${near} hall`])
    expect(searched.checks.map(({ check }) => check)).not.toContain(near)
  })

  test('leaves such answers alone where two devices are meant', () => {
    const { known } = ask([low, answered('radio-near', 'no'), lowIn('hall'), lowIn('attic')])
    expect([...known.asked]).toEqual(['6'])
  })
})
