import type { CompiledRelease } from './compiled.ts'

type Ids = ReadonlyMap<string, number>
export interface ReleaseIndex {
  cause: Ids
  check: Ids
  condition: Ids
  context: Ids
  reading: Ids
  /** Checks that take a reading. */
  checksOfReading: ReadonlyMap<number, number[]>
  /** The remedy most likely to remove each cause, the shorter of equals; -1 for a cause without one. */
  firstRemedyOf: readonly number[]
  /** Causes whose prior odds a context moves, or that it rules out. */
  causesOfContext: readonly (readonly number[])[]
}

const known = new WeakMap<CompiledRelease, ReleaseIndex>()

function idsOf(list: readonly { id: string }[]): Ids {
  return new Map(list.map(({ id }, index) => [id, index]))
}

function firstRemedies({ causes, remedies }: CompiledRelease): number[] {
  const best = causes.map(() => ({ remedy: -1, probability: 0, minutes: 0 }))
  remedies.forEach(({ fixes, minutes }, remedy) => {
    for (const { cause, probability } of fixes) {
      const known = best[cause]!
      const isBetter = probability > known.probability || (probability === known.probability && minutes < known.minutes)
      if (isBetter) best[cause] = { remedy, probability, minutes }
    }
  })
  return best.map(({ remedy }) => remedy)
}

function causesByContext({ causes, contexts }: CompiledRelease): number[][] {
  const excluded = contexts.map((): number[] => [])
  causes.forEach(({ excludedBy }, cause) => {
    for (const context of excludedBy) excluded[context]!.push(cause)
  })
  return contexts.map(({ shifts }, context) => [...shifts.map(({ cause }) => cause), ...excluded[context]!])
}

/** Look-up tables of a release, built once. */
export function indexRelease(release: CompiledRelease): ReleaseIndex {
  const found = known.get(release)
  if (found) return found
  const checksOfReading = new Map<number, number[]>()
  release.checks.forEach(({ model }, check) => {
    if (model.kind === 'reading')
      checksOfReading.set(model.reading, [...(checksOfReading.get(model.reading) ?? []), check])
  })
  const index: ReleaseIndex = {
    cause: idsOf(release.causes),
    check: idsOf(release.checks),
    condition: idsOf(release.conditions),
    context: idsOf(release.contexts),
    reading: idsOf(release.readings),
    checksOfReading,
    firstRemedyOf: firstRemedies(release),
    causesOfContext: causesByContext(release),
  }
  known.set(release, index)
  return index
}
