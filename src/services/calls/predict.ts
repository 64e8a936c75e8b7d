import { advise } from '../../domain/advice/advise.ts'
import { priorsOf } from '../../domain/advice/instantiate.ts'
import { DomainError } from '../../domain/errors.ts'
import type { Finding, Limits } from '../../domain/findings/finding.ts'
import type { Release } from '../../ontology/release.ts'
import type { ChosenRates } from '../learning/chosen-rates.ts'

export interface Prediction {
  cause: string
  device?: string
  probability: number
  prior: number
}

/** What a remedy cleared is what the call was about: that it is over is no part of what was held of it. */
const asItWas = (finding: Finding): Finding =>
  finding.kind === 'tried' && finding.result === 'cleared' ? { kind: 'unmapped' } : finding

const rounded = (value: number) => Number(value.toPrecision(6))

/**
 * What the engine holds of each cause from the findings of a call, before its outcome is known. Causes of a device that
 * nobody spoke of are left out. Nothing is held where the findings cannot be worked through.
 */
export function predict(
  { compiled }: Release,
  { findings, limits, rates }: { findings: Finding[]; limits: Limits; rates?: ChosenRates['rates'] | undefined },
): Prediction[] {
  try {
    const { known, posterior } = advise({
      release: compiled,
      findings: findings.map(asItWas),
      limits,
      ...(rates && { rates }),
    })
    const { keys, hasUnnamedDevice } = known.instance
    const priors = priorsOf(known.instance, rates)
    return keys.flatMap(({ cause, device }, index) => {
      const { id, isPerDevice } = compiled.causes[cause]!
      if (isPerDevice && device === undefined && !hasUnnamedDevice) return []
      const held = { probability: rounded(posterior[index]!), prior: rounded(priors[index]!) }
      return [{ cause: id, ...(device === undefined ? {} : { device }), ...held }]
    })
  } catch (error) {
    if (error instanceof DomainError) return []
    throw error
  }
}
