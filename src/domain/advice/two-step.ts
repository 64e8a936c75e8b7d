import { outcomes } from '../diagnosis/outcomes.ts'
import { prepareOnTop } from '../diagnosis/prepare.ts'
import { DomainError } from '../errors.ts'
import { expectedGainBits } from './entropy.ts'
import type { NextCheck, SearchState } from './search-state.ts'

/** Effect behind a check that observes something; no other kind is looked ahead from. */
function effectOf({ known: { instance } }: SearchState, { check, device }: NextCheck): number | undefined {
  const { model } = instance.release.checks[check]!
  return model.kind === 'observation' ? instance.effectOf(model.effect, device) : undefined
}

/** Most bits that one of the rivals brings after a result of a check; 0 where the result cannot be worked with. */
function bestAfter(state: SearchState, effect: number, level: number, rivals: readonly number[]) {
  const { network } = state.prepared
  const weights = network.effects[effect]!.leak.map((_, index) => (index === level ? 1 : 0))
  try {
    const after = prepareOnTop(state.prepared, [{ effect, weights }])
    const gains = rivals.map((rival) => {
      const seen = outcomes(after, rival)
      const results = seen.outcomes.map((outcome) => ({ result: '', ...outcome }))
      return { bits: expectedGainBits(results, state.groups), work: seen.work }
    })
    return {
      bits: Math.max(0, ...gains.map(({ bits }) => bits)),
      work: gains.reduce((sum, { work }) => sum + work, after.inference.work),
    }
  } catch (error) {
    if (error instanceof DomainError) return { bits: 0, work: 0 }
    throw error
  }
}

/**
 * Bits that a check and the best of its rivals after it are expected to bring together.
 *
 * gain + sum over its results of P(result) x the most that a rival brings after it
 *
 * @param rivals - checks that could be put next instead
 * @returns `twoStepBits` never less than the gain itself, and the counted state updates
 */
export function lookAhead(
  state: SearchState,
  next: NextCheck,
  rivals: readonly NextCheck[],
): { twoStepBits: number; work: number } {
  const effect = effectOf(state, next)
  const others = rivals.flatMap((rival) => (rival === next ? [] : (effectOf(state, rival) ?? [])))
  if (effect === undefined || others.length === 0) return { twoStepBits: next.gainBits, work: 0 }
  const after = next.results.map(({ probability }, level) =>
    probability > 0 ? { probability, ...bestAfter(state, effect, level, others) } : { probability, bits: 0, work: 0 },
  )
  return {
    twoStepBits: after.reduce((sum, { probability, bits }) => sum + probability * bits, next.gainBits),
    work: after.reduce((sum, { work }) => sum + work, 0),
  }
}
