import type { Circumstances } from './circumstances.ts'
import type { CompiledCheck, CompiledRelease, CompiledRemedy, Follows } from './compiled.ts'
import { remedyCostMinutes } from './remedy-cost.ts'
import { type Dimension, dimensionsOf, type Shift } from './shifts.ts'

type Ids = ReadonlyMap<string, number>
export interface ReleaseIndex {
  cause: Ids
  check: Ids
  condition: Ids
  context: Ids
  reading: Ids
  remedy: Ids
  /** Checks that take a reading. */
  checksOfReading: ReadonlyMap<number, number[]>
  /** The remedy that a plan would try first for each cause, by chance of removing it per minute of cost; -1 for none. */
  firstRemedyOf: readonly number[]
  /** The remedy most likely to remove each cause; -1 for none. */
  surestRemedyOf: readonly number[]
  /** Whether a remedy is carried out on a device: it removes a cause of one. */
  isRemedyOfDevice: readonly boolean[]
  /** Remedies that remove a cause. */
  remediesOf: readonly (readonly number[])[]
  /** The dimension that each context belongs to. */
  dimensionOf: readonly Dimension[]
  /** Causes whose prior odds a context moves, each with the factor; 0 where it rules the cause out. */
  shiftsOfContext: readonly (readonly Shift[])[]
  /** Causes whose odds change with what is known of a context: its own, and those of contexts that it excludes. */
  movedWith: readonly (readonly number[])[]
  /** What each context brings with it, itself first: 1 for what holds then, -1 for what does not. */
  brings: readonly Circumstances[]
  /** Whether circumstances follow from anything, and whether from results of checks. */
  hasFollows: boolean
  tellsByResults: boolean
  /** Whether any result of a check clears a condition. */
  clearsByResults: boolean
  /** Whether all that a check can tell is a circumstance of the device that it is put for. */
  tellsOfDevice: readonly boolean[]
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

/** What a remedy is worth to a cause that it removes with this probability: tried first, or surest. */
export const WORTH = {
  first: (remedy: CompiledRemedy, probability: number) => probability / remedyCostMinutes(remedy),
  surest: (_: CompiledRemedy, probability: number) => probability,
} as const

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

/** What a circumstance brings with it, itself first: 1 for what holds then, -1 for what does not. */
function broughtBy({ contexts }: CompiledRelease): Map<number, number>[] {
  return contexts.map((_, context) => {
    const brought = new Map([[context, 1]])
    for (const [next, degree] of brought) {
      if (degree < 0) continue
      for (const implied of contexts[next]!.implies ?? []) brought.set(implied, 1)
      for (const out of contexts[next]!.rulesOut ?? []) if (!brought.has(out)) brought.set(out, -1)
    }
    return brought
  })
}

const says = ({ implies, rulesOut }: Follows) => implies !== undefined || rulesOut !== undefined
const hasFollows = ({ conditions, contexts, checks, remedies }: CompiledRelease) =>
  conditions.some(says) || contexts.some(says) || [...checks, ...remedies].some(({ follows }) => follows !== undefined)

/** The dimension of each context. */
function byContext({ contexts }: CompiledRelease, dimensions: readonly Dimension[]): Dimension[] {
  const dimensionOf: Dimension[] = contexts.map(() => dimensions[0]!)
  for (const dimension of dimensions) for (const member of dimension.members) dimensionOf[member] = dimension
  return dimensionOf
}

/** The factors of each context that move anything. */
function shiftsByContext(dimensionOf: readonly Dimension[]): Shift[][] {
  return dimensionOf.map(({ members, moved }, context) => {
    const at = members.indexOf(context)
    return moved.flatMap(({ cause, factors }) => (factors[at] === 1 ? [] : [{ cause, factor: factors[at]! }]))
  })
}

/** Circumstances of which a question of circumstances tells. */
function toldBy(sets: readonly { context: number }[], follows: CompiledCheck['follows'] = {}): number[] {
  const further = Object.values(follows).flatMap(({ implies = [], rulesOut = [] }) => [...implies, ...rulesOut])
  return [...sets.map(({ context }) => context), ...further]
}

function causesByCheck(
  { checks, effects, readings }: CompiledRelease,
  { shiftsOfContext, brings }: Pick<ReleaseIndex, 'shiftsOfContext' | 'brings'>,
) {
  const linked = (effect: number | undefined) =>
    effect === undefined ? [] : effects[effect]!.links.map(({ cause }) => cause)
  const spoken = ({ model, follows }: CompiledCheck): number[] => {
    if (model.kind === 'observation') return linked(model.effect)
    if (model.kind === 'applicability')
      return toldBy(model.sets, follows).flatMap((context) =>
        [...brings[context]!.keys()].flatMap((brought) => shiftsOfContext[brought]!.map(({ cause }) => cause)),
      )
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
  const dimensionOf = byContext(release, dimensionsOf(release))
  const shiftsOfContext = shiftsByContext(dimensionOf)
  const brings = broughtBy(release)
  const isOfDevice = (context: number) =>
    [...brings[context]!.keys()].every((one) => release.contexts[one]!.isPerDevice === true)
  const causesOfCheck = causesByCheck(release, { shiftsOfContext, brings })
  const index: ReleaseIndex = {
    cause: idsOf(release.causes),
    check: idsOf(release.checks),
    condition: idsOf(release.conditions),
    context: idsOf(release.contexts),
    reading: idsOf(release.readings),
    remedy: idsOf(release.remedies),
    checksOfReading,
    firstRemedyOf: bestRemedies(release, WORTH.first),
    surestRemedyOf: bestRemedies(release, WORTH.surest),
    isRemedyOfDevice: release.remedies.map(({ fixes }) =>
      fixes.some(({ cause }) => release.causes[cause]!.isPerDevice),
    ),
    remediesOf: remediesByCause(release),
    dimensionOf,
    shiftsOfContext,
    movedWith: dimensionOf.map(({ moved }) => moved.map(({ cause }) => cause)),
    brings,
    hasFollows: hasFollows(release),
    tellsByResults: [...release.checks, ...release.remedies].some(({ follows }) => follows !== undefined),
    clearsByResults: release.checks.some(({ clears }) => clears !== undefined),
    tellsOfDevice: release.checks.map(
      ({ model, follows }) => model.kind === 'applicability' && toldBy(model.sets, follows).every(isOfDevice),
    ),
    causesOfCheck,
    checksOfCause: checksByCause(release, causesOfCheck),
    dangerChecks: checksOfKind(release, 'danger'),
    revealingChecks: checksOfKind(release, 'reveals'),
  }
  known.set(release, index)
  return index
}
