import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { gather } from '../../../src/domain/advice/gather.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { allRead, answered, CAUSE, holds, present, smallRelease } from '../../support/small-release.ts'

/** The small release with two circumstances of a device that exclude each other, and the question that tells them. */
function withDeviceContexts(): CompiledRelease {
  const base = smallRelease()
  const [sealed, lidded] = [base.contexts.length, base.contexts.length + 1]
  const form = { dimension: 'form', isPerDevice: true }
  return {
    ...base,
    contexts: [
      ...base.contexts,
      { id: 'context/sealed', ...form, share: 0.3, shifts: [{ cause: CAUSE.dampCell, factor: 2 }] },
      { id: 'context/lidded', ...form, share: 0.7, shifts: [] },
    ],
    causes: base.causes.map((one, cause) => (cause === CAUSE.radioCell ? { ...one, excludedBy: [sealed] } : one)),
    checks: [
      ...base.checks,
      {
        ...base.checks[3]!,
        id: 'check/ask-form',
        isPerDevice: true,
        results: ['sealed', 'lidded'],
        model: {
          kind: 'applicability',
          sets: [
            { result: 'sealed', context: sealed },
            { result: 'lidded', context: lidded },
          ],
        },
      },
    ],
  }
}
const release = withDeviceContexts()
const ASK_FORM = release.checks.length - 1
const ask = (...findings: Finding[]) => advise({ release, findings, limits: { who: 'caller', tools: [] } })
/** Probability of a cause of a device, named or not. */
const of = ({ posterior, known }: ReturnType<typeof ask>, cause: number, device?: string) =>
  posterior[known.instance.keys.findIndex((key) => key.cause === cause && key.device === device)]!
const lowIn = (device: string) => present('radio-low', { device })
const both = [lowIn('hall'), lowIn('attic'), allRead]

describe('a circumstance of a device', () => {
  test('moves the causes of this device and of no other', () => {
    const before = ask(...both)
    const after = ask(...both, holds('sealed', { device: 'hall' }))
    expect(of(after, CAUSE.radioCell, 'hall')).toBe(0)
    expect(of(after, CAUSE.dampCell, 'hall')).toBeGreaterThan(of(before, CAUSE.dampCell, 'hall'))
    expect(of(after, CAUSE.radioCell, 'attic')).toBeCloseTo(of(before, CAUSE.radioCell, 'attic'), 12)
  })

  test('is set by the answer to a question that is put for the device', () => {
    const said = ask(...both, answered('ask-form', 'sealed', { device: 'hall' }))
    expect([...said.posterior]).toEqual([...ask(...both, holds('sealed', { device: 'hall' })).posterior])
  })

  test('holds for one device while another holds for the next, without contradiction', () => {
    const { known } = ask(...both, holds('sealed', { device: 'hall' }), holds('lidded', { device: 'attic' }))
    expect([known.contradictions, known.contexts.size, known.onDevice.size]).toEqual([[], 0, 2])
  })

  test('contradicts another of its dimension on the same device', () => {
    const { known } = ask(...both, holds('sealed', { device: 'hall' }), holds('lidded', { device: 'hall' }))
    expect(known.contradictions).toEqual([{ findings: [3, 4], about: 'context/sealed' }])
    expect(known.onDevice.get('hall')!.contexts.size).toBe(0)
  })

  test('that follows from a condition is one of the device on which it stands', () => {
    const change = withDeviceContexts()
    change.conditions[2] = { ...change.conditions[2]!, implies: [change.contexts.length - 2] }
    const { onDevice, contexts } = gather(change, [lowIn('hall'), present('battery-low')])
    expect([[...onDevice.keys()], contexts.size]).toEqual([['hall'], 0])
  })
})

describe('a circumstance of a device that names none', () => {
  test('is about the device that was not named, where there is one', () => {
    const advice = ask(
      present('radio-low'),
      lowIn('attic'),
      present('battery-low', { device: 'hall' }),
      holds('sealed'),
    )
    expect(advice.known.onDevice.size + advice.known.contexts.size).toBe(1)
  })

  test('is about the only device, where nothing else stands on any other', () => {
    const advice = ask(lowIn('hall'), holds('sealed'))
    expect(advice.known.instance.hasUnnamedDevice).toBe(false)
    expect(of(advice, CAUSE.radioCell, 'hall')).toBe(0)
  })

  test('is about every device that was named, where all were', () => {
    const stated = ask(...both, holds('sealed'))
    const answer = ask(...both, answered('ask-form', 'sealed'))
    for (const advice of [stated, answer])
      for (const device of ['hall', 'attic']) expect(of(advice, CAUSE.radioCell, device), device).toBe(0)
  })

  test('is about the device that nobody named, where none was', () => {
    const advice = ask(present('radio-low'), allRead, holds('sealed'))
    expect(of(advice, CAUSE.radioCell)).toBe(0)
    expect(advice.known.contexts.size).toBe(1)
  })
})

test('a circumstance of the whole system holds for all of it, whichever device it was noticed at', () => {
  const [noticed, told] = [{ device: 'hall' }, {}].map((more) =>
    gather(release, [...both, holds('hot-room', more)], {}),
  )
  expect(noticed!.contexts).toEqual(told!.contexts)
  expect(noticed!.onDevice).toEqual(told!.onDevice)
})

describe('the question of a circumstance of a device', () => {
  const formOf = ({ searched }: ReturnType<typeof ask>, device: string | undefined) =>
    searched.checks.find((one) => one.check === ASK_FORM && one.device === device)

  test('is put for each device of which it is not known', () => {
    const open = ask(...both)
    expect([formOf(open, 'hall'), formOf(open, 'attic')].every((one) => one !== undefined)).toBe(true)
    const known = ask(...both, holds('lidded', { device: 'hall' }))
    expect([formOf(known, 'hall'), formOf(known, 'attic') !== undefined]).toEqual([undefined, true])
  })

  test('foretells what its answers bring: for this device as given, for the others nothing', () => {
    const question = formOf(ask(...both), 'hall')!
    expect(question.results.map(({ result }) => result)).toEqual(['sealed', 'lidded'])
    for (const { result, posterior } of question.results) {
      const given = ask(...both, answered('ask-form', result, { device: 'hall' })).posterior
      posterior.forEach((probability, cause) => {
        expect(probability).toBeCloseTo(given[cause]!, 9)
      })
    }
  })

  test('foretells the same where circumstances of the system and of the other device are known', () => {
    const told = [...both, holds('sealed', { device: 'attic' }), holds('old-battery')]
    const question = formOf(ask(...told), 'hall')!
    for (const { result, posterior } of question.results) {
      const given = ask(...told, answered('ask-form', result, { device: 'hall' })).posterior
      posterior.forEach((probability, cause) => {
        expect(probability).toBeCloseTo(given[cause]!, 9)
      })
    }
  })
})

test('a device of which nothing special is known has the odds of a call without such circumstances', () => {
  const plain = advise({ release: smallRelease(), findings: both, limits: { who: 'caller', tools: [] } })
  const advice = ask(...both, holds('sealed', { device: 'hall' }))
  expect(of(advice, CAUSE.dampCell, 'attic')).toBeCloseTo(of(plain, CAUSE.dampCell, 'attic'), 12)
})
