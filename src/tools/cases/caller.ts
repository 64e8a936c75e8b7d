import type { CompiledCheck, CompiledRelease } from '../../domain/advice/compiled.ts'
import { indexRelease } from '../../domain/advice/release-index.ts'
import { DONT_KNOW, type Finding } from '../../domain/findings/finding.ts'
import type { Case } from './case.ts'

/** What a caller says before any question. */
export function opening(one: Case): Finding[] {
  return [
    ...one.conditions.map(
      ({ condition, device }): Finding => ({
        kind: 'condition',
        condition,
        state: 'present',
        ...(device === undefined ? {} : { device }),
      }),
    ),
    ...one.contexts.map((context): Finding => ({ kind: 'context', context, state: 'holds' })),
    { kind: 'screen', complete: one.displayComplete },
  ]
}

/** Middle of the healthy band; at an open end, a tenth of the valid range within it. */
function healthyValue(release: CompiledRelease, reading: number): number {
  const { edges, healthy, validLow, validHigh } = release.readings[reading]!
  const low = edges[healthy - 1] ?? Math.max(validLow, edges[0]! - (validHigh - validLow) / 10)
  const high = edges[healthy] ?? Math.min(validHigh, edges.at(-1)! + (validHigh - validLow) / 10)
  return (low + high) / 2
}

/** Causes that a check speaks of. */
function spokenOf(release: CompiledRelease, { model }: CompiledCheck): Set<number> {
  if (model.kind === 'applicability')
    return new Set(model.sets.flatMap(({ context }) => release.contexts[context]!.shifts.map(({ cause }) => cause)))
  const effects =
    model.kind === 'observation'
      ? [model.effect]
      : model.kind === 'reading'
        ? [release.readings[model.reading]!.low, release.readings[model.reading]!.high]
        : []
  return new Set(
    effects.flatMap((effect) => (effect === undefined ? [] : release.effects[effect]!.links.map(({ cause }) => cause))),
  )
}

/**
 * The ordinary answer: a healthy one, no danger, a step that has been made safe, and that nothing special is there; else the
 * caller does not know.
 */
function ordinary(release: CompiledRelease, check: number): string {
  const { model, results } = release.checks[check]!
  if (model.kind === 'observation') return model.levels[0]!
  if (model.kind === 'danger') return results.find((result) => result !== model.sign)!
  if (model.kind === 'reveals') return model.complete
  if (model.kind === 'applicability') {
    const gate = release.gates.find(({ ask }) => ask === check)
    const silent = results.filter((result) => !model.sets.some((set) => set.result === result))
    return model.sets.find(({ context }) => gate?.needs.includes(context))?.result ?? silent[0] ?? DONT_KNOW
  }
  return DONT_KNOW
}

/**
 * The caller's answer to a check. What the case does not tell is ordinary where it has nothing to do with the truth, and
 * not known where it has.
 */
export function answerOf(
  release: CompiledRelease,
  one: Case,
  { check, device }: { check: number; device?: string },
): Finding {
  const { id, model } = release.checks[check]!
  const place = device === undefined ? {} : { device }
  const said = (result: string): Finding => ({ kind: 'answer', check: id, result, ...place })
  const told = one.knows[id]
  if (told !== undefined) return said(told)
  const measured = (value: number): Finding => {
    const reading = release.readings[(model as { reading: number }).reading]!
    return { kind: 'reading', reading: reading.id, value, ...place }
  }
  if (model.kind === 'reading') {
    const value = one.readings[release.readings[model.reading]!.id]
    if (value !== undefined) return measured(value)
  }
  const causes = spokenOf(release, release.checks[check]!)
  const { cause: causeIndex } = indexRelease(release)
  if (one.truth.some(({ cause }) => causes.has(causeIndex.get(cause)!))) return said(DONT_KNOW)
  return model.kind === 'reading' ? measured(healthyValue(release, model.reading)) : said(ordinary(release, check))
}
