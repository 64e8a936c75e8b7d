import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { oddsFactors } from '../../../src/domain/advice/circumstances.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import { CAUSE, smallRelease } from '../../support/small-release.ts'

const { compiled } = currentRelease()
const LINE: Finding = { kind: 'condition', condition: 'condition/phone-line-missing', state: 'present' }
const answer = (check: string, result: string): Finding => ({ kind: 'answer', check, result })
const of = (cause: string, ...findings: Finding[]) => {
  const index = compiled.causes.findIndex(({ id }) => id === cause)
  return advise({ release: compiled, findings, limits: { who: 'caller', tools: [] } }).posterior[index]!
}

describe('an answer that names none of the circumstances', () => {
  test('lowers what they would raise', () => {
    const ended = (...more: Finding[]) => of('cause/phone-service-ended', LINE, ...more)
    expect(ended(answer('check/ask-phone-changes', 'none'))).toBeLessThan(0.95 * ended())
    expect(ended(answer('check/ask-phone-changes', 'dont-know'))).toBe(ended())
  })

  test('says the same as each of them denied', () => {
    const denied = ['phone-service-cancelled', 'phone-service-changed', 'new-router'].map(
      (name): Finding => ({ kind: 'context', context: `context/${name}`, state: 'does-not-hold' }),
    )
    expect(of('cause/phone-service-ended', LINE, ...denied)).toBeCloseTo(
      of('cause/phone-service-ended', LINE, answer('check/ask-phone-changes', 'none')),
      12,
    )
  })
})

/** A release with one context of its own of this share and factor on the worn battery. */
const withContext = (share: number, factor: number, dimension?: string) =>
  smallRelease({
    causes: smallRelease().causes.map((one) => ({ ...one, excludedBy: [] })),
    contexts: [
      {
        id: 'context/one',
        ...(dimension === undefined ? {} : { dimension }),
        share,
        shifts: [{ cause: CAUSE.batteryWorn, factor }],
      },
      { id: 'context/two', ...(dimension === undefined ? {} : { dimension }), share: 0.3, shifts: [] },
    ],
    checks: [],
    gates: [],
    hazards: [],
    remedies: [],
  })
const factorWhen = (release: ReturnType<typeof smallRelease>, degree: number) =>
  oddsFactors(release, new Map([[0, degree]]))[CAUSE.batteryWorn]!

test('that a circumstance holds and that it does not balance, by total probability', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.01, max: 0.5, noNaN: true }),
      fc.double({ min: 0.1, max: 1.6, noNaN: true }),
      (share, factor) => {
        const release = withContext(share, factor)
        const balance = share * factorWhen(release, 1) + (1 - share) * factorWhen(release, -1)
        expect(balance).toBeCloseTo(1, 9)
      },
    ),
  )
})

test('a denial never moves odds below a fifth, however the shares and factors disagree', () => {
  expect(factorWhen(withContext(0.5, 20), -1)).toBeCloseTo(0.2, 12)
})

test('a denial that is worth nothing moves nothing, a doubtful one less than a sure one', () => {
  const release = withContext(0.2, 3)
  expect(factorWhen(release, -0)).toBe(1)
  expect(factorWhen(release, -0.5)).toBeGreaterThan(factorWhen(release, -1))
  expect(factorWhen(release, -0.5)).toBeLessThan(1)
})

test('where another context of the dimension holds, the denial adds nothing', () => {
  const release = withContext(0.2, 3, 'age')
  const both = oddsFactors(
    release,
    new Map([
      [0, -1],
      [1, 1],
    ]),
  )
  expect(both[CAUSE.batteryWorn]).toBe(1)
})
