import type { CompiledCheck, CompiledRelease, CompiledRemedy } from './compiled.ts'
import { remedyCostMinutes } from './remedy-cost.ts'

type Ids = ReadonlyMap<string, number>
export interface ReleaseIndex {
  cause: Ids
  check: Ids
  condition: Ids
  context: Ids
  reading: Ids
  /** Checks that take a reading. */
  checksOfReading: ReadonlyMap<number, number[]>
  /** The remedy that a plan would try first for each cause, by chance of removing it per minute of cost; -1 for none. */
  firstRemedyOf: readonly number[]
  /** The remedy most likely to remove each cause; -1 for none. */
  surestRemedyOf: readonly number[]
  /** Remedies that remove a cause. */
  remediesOf: readonly (readonly number[])[]
  /** Causes whose prior odds a context moves, each with the factor; 0 where it rules the cause out. */
  shiftsOfContext: readonly (readonly { cause: number; factor: number }[])[]
  /** Causes whose odds change with what is known of a context: its own, and those of contexts that it excludes. */
  movedWith: readonly (readonly number[])[]
  /** Causes that a check speaks of, each once; and the checks that speak of a cause. */
  causesOfCheck: readonly (readonly number[])[]
  checksOfCause: readonly (readonly number[])[]
  /** Checks that ask for a sign of danger, and those that read more of the display. */
  dangerChecks: readonly number[]
  revealingChecks: readonly number[]
}

const known = new WeakMap<CompiledRelease, ReleaseIndex>()

function idsOf(list: readonly { id: string }[]): Ids {
  return new Map(list.map(({ id }, index) => [id, index]))
}

/** For each cause the remedy that is worth most by a measure, the first listed of equals; -1 where there is none. */
function bestRemedies(
  { causes, remedies }: CompiledRelease,
  worth: (remedy: CompiledRemedy, probability: number) => number,
): number[] {
  const best = causes.map(() => ({ remedy: -1, worth: 0 }))
  remedies.forEach((one, remedy) => {
    for (const { cause, probability } of one.fixes) {
      const found = worth(one, probability)
      if (found > best[cause]!.worth) best[cause] = { remedy, worth: found }
    }
  })
  return best.map(({ remedy }) => remedy)
}

function remediesByCause({ causes, remedies }: CompiledRelease): number[][] {
  const byCause = causes.map((): number[] => [])
  remedies.forEach(({ fixes }, remedy) => {
    for (const { cause } of fixes) byCause[cause]!.push(remedy)
  })
  return byCause
}

function shiftsByContext({ causes, contexts }: CompiledRelease): { cause: number; factor: number }[][] {
  const excluded = contexts.map((): { cause: number; factor: number }[] => [])
  causes.forEach(({ excludedBy }, cause) => {
    for (const context of excludedBy) excluded[context]!.push({ cause, factor: 0 })
  })
  return contexts.map(({ shifts }, context) => [...shifts, ...excluded[context]!])
}

function causesMovedWith({ contexts }: CompiledRelease, shiftsOf: ReleaseIndex['shiftsOfContext']): number[][] {
  return contexts.map(({ dimension }, context) => {
    const beside = contexts.flatMap((one, index) =>
      index === context || (dimension !== undefined && one.dimension === dimension) ? [index] : [],
    )
    return [...new Set(beside.flatMap((index) => shiftsOf[index]!.map(({ cause }) => cause)))]
  })
}

function causesByCheck({ checks, effects, readings }: CompiledRelease, shiftsOf: ReleaseIndex['shiftsOfContext']) {
  const linked = (effect: number | undefined) =>
    effect === undefined ? [] : effects[effect]!.links.map(({ cause }) => cause)
  const spoken = ({ model }: CompiledCheck): number[] => {
    if (model.kind === 'observation') return linked(model.effect)
    if (model.kind === 'applicability')
      return model.sets.flatMap(({ context }) => shiftsOf[context]!.map(({ cause }) => cause))
    if (model.kind !== 'reading') return []
    const { low, high } = readings[model.reading]!
    return [...linked(low), ...linked(high)]
  }
  return checks.map((check) => [...new Set(spoken(check))])
}

function checksByCause({ causes }: CompiledRelease, causesOfCheck: ReleaseIndex['causesOfCheck']): number[][] {
  const byCause = causes.map((): number[] => [])
  causesOfCheck.forEach((spoken, check) => {
    for (const cause of spoken) byCause[cause]!.push(check)
  })
  return byCause
}

const checksOfKind = ({ checks }: CompiledRelease, kind: CompiledCheck['model']['kind']): number[] =>
  [...checks.keys()].filter((check) => checks[check]!.model.kind === kind)

/** Look-up tables of a release, built once. */
export function indexRelease(release: CompiledRelease): ReleaseIndex {
  const found = known.get(release)
  if (found) return found
  const checksOfReading = new Map<number, number[]>()
  release.checks.forEach(({ model }, check) => {
    if (model.kind === 'reading')
      checksOfReading.set(model.reading, [...(checksOfReading.get(model.reading) ?? []), check])
  })
  const shiftsOfContext = shiftsByContext(release)
  const causesOfCheck = causesByCheck(release, shiftsOfContext)
  const index: ReleaseIndex = {
    cause: idsOf(release.causes),
    check: idsOf(release.checks),
    condition: idsOf(release.conditions),
    context: idsOf(release.contexts),
    reading: idsOf(release.readings),
    checksOfReading,
    firstRemedyOf: bestRemedies(release, (remedy, probability) => probability / remedyCostMinutes(remedy)),
    surestRemedyOf: bestRemedies(release, (_, probability) => probability),
    remediesOf: remediesByCause(release),
    shiftsOfContext,
    movedWith: causesMovedWith(release, shiftsOfContext),
    causesOfCheck,
    checksOfCause: checksByCause(release, causesOfCheck),
    dangerChecks: checksOfKind(release, 'danger'),
    revealingChecks: checksOfKind(release, 'reveals'),
  }
  known.set(release, index)
  return index
}
