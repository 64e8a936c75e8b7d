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
}

const known = new WeakMap<CompiledRelease, ReleaseIndex>()

function idsOf(list: readonly { id: string }[]): Ids {
  return new Map(list.map(({ id }, index) => [id, index]))
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
  }
  known.set(release, index)
  return index
}
