import { type Contradiction, contradictionsOf } from '../contradictions.ts'
import type { AttributeValue, Constraint, Requirement, ValueRange } from '../types.ts'
import { blocksOf } from './battery.ts'
import { checkSystem, type Fact, type SystemFacts, systemFacts } from './facts.ts'
import { mergeConstraints } from './merge.ts'
import { demandsOfKind, isSettledByKind, OF_THE_KIND, preference, unstated } from './of-kind.ts'
import { oldPartDemands } from './old-part.ts'
import { type SizingFacts, sizingFacts } from './sizing.ts'
import type { PartSpec } from './spec.ts'

export interface NeedsInput {
  spec: PartSpec
  system: SystemFacts
  sizing: SizingFacts
  /** Attributes read off the old part. */
  oldPart: Readonly<Record<string, AttributeValue | ValueRange>>
  /** What a document or a listing demands word for word. */
  demands: readonly Constraint[]
  /** Pieces; worked out from voltage and strings where it is left out. */
  quantity?: number
  adaptersAllowed: boolean
  confirmed?: readonly string[]
  /** Attributes whose list of words is the whole of them, because another kind in question has the word that was read. */
  closed?: ReadonlySet<string>
}
export type NeedNote = 'replace-together' | 'old-capacity-differs' | 'upper-bound-presumed' | 'room-presumed'
export interface Need {
  requirement: Requirement
  /** Facts that no part can meet together. */
  contradictions: Contradiction[]
  /** Why no part of this kind can do: the kind itself contradicts a fact. */
  ruledOutBy?: Contradiction
  /** Attributes that decide and that nobody has stated yet. */
  open: string[]
  /** Whether the number of blocks in place has to be asked. */
  asksCount: boolean
  /** Fields that say nothing of this kind of part. */
  unused: string[]
  notes: NeedNote[]
}

const ROOM = ['lengthMm', 'widthMm', 'heightMm']

/** Facts that bear on this kind of part; the fields of the others. */
function sort(spec: PartSpec, facts: readonly Fact[]): { used: Constraint[]; unused: string[] } {
  const specs = new Map(spec.attributes.map((one) => [one.name, one]))
  const used: Constraint[] = []
  const paths = new Map<string, boolean>()
  for (const { path, constraint, rules } of facts) {
    const found = specs.get(constraint.attribute)
    const isUsed = found !== undefined && (rules === undefined || rules.includes(found.rule))
    paths.set(path, (paths.get(path) ?? false) || isUsed)
    if (isUsed) used.push({ ...constraint, isSafety: found.role === 'safety' })
  }
  return { used, unused: [...paths].filter(([, isUsed]) => !isUsed).map(([path]) => path) }
}

/** Demands of the old part, without those that the system or a sizing states better. */
function fromOldPart({ spec, oldPart }: NeedsInput, stated: readonly Constraint[]): Constraint[] {
  const isStated = (name: string, ...ops: Constraint['op'][]) =>
    stated.some(({ attribute, op }) => attribute === name && ops.includes(op))
  return spec.attributes
    .filter(({ name }) => Object.hasOwn(oldPart, name))
    .flatMap((one) => oldPartDemands(one, oldPart[one.name]!))
    .filter(({ attribute, op }) => {
      if (attribute === 'capacityAh') return !isStated(attribute, op as 'min')
      if (ROOM.includes(attribute)) return !isStated(attribute, 'max')
      return attribute !== 'terminal' || !isStated(attribute, 'in')
    })
}

const spares = ({ spec, oldPart }: NeedsInput) =>
  Object.keys(oldPart)
    .filter((name) => !spec.attributes.some((one) => one.name === name))
    .map((name) => `/oldPart/attributes/${name}`)

function notesOf({ oldPart }: NeedsInput, constraints: readonly Constraint[], quantity: number): NeedNote[] {
  const old = oldPart.capacityAh
  const sized = constraints.find(({ attribute, op }) => attribute === 'capacityAh' && (op === 'min' || op === 'range'))
  const isSmaller = typeof old === 'number' && typeof sized?.value === 'number' && old < sized.value
  const isPresumed = (names: readonly string[]) =>
    constraints.some(({ attribute, kind, op }) => kind === 'confirm' && op === 'max' && names.includes(attribute))
  const holds: [NeedNote, boolean][] = [
    ['replace-together', quantity > 1],
    ['old-capacity-differs', isSmaller],
    ['upper-bound-presumed', isPresumed(['capacityAh'])],
    ['room-presumed', isPresumed(ROOM)],
  ]
  return holds.filter(([, isNoted]) => isNoted).map(([note]) => note)
}

function countOf({ spec, oldPart, quantity, system, sizing }: NeedsInput, inSeries: number): number {
  if (quantity !== undefined) return quantity
  const isCounted = spec.attributes.some(({ rule }) => rule === 'count')
  const counted = isCounted ? (oldPart.quantityPerSet ?? system.fittedCount) : undefined
  return typeof counted === 'number' ? counted : inSeries * (sizing.inParallel ?? 1)
}

/**
 * What a new part must be: demands of its kind, of the system, of a sizing and of the old part, each with its origin.
 *
 * @param input - what is known; quantities in the units of the field names
 * @returns a requirement as the matcher takes it; what decides and is not stated stands in it as a question, and facts
 *   that contradict each other are named and stay in it
 * @throws DomainError QUANTITY_OUT_OF_RANGE with a pointer into the input
 * @validity as good as what was read and stated; it knows no equipment
 * @source common practice, no source; rules and fixed values are data of the ontology
 */
export function findNeeds(input: NeedsInput): Need {
  const { spec, system, sizing, demands, adaptersAllowed, confirmed, closed } = input
  checkSystem(system)
  const blocks = blocksOf(spec, system, sizing.inParallel ?? 1)
  const { used, unused } = sort(spec, [...blocks.facts, ...systemFacts(system), ...sizingFacts(sizing)])
  const ofKind = spec.attributes.flatMap((attribute) => demandsOfKind(attribute, closed))
  const stated = [...demands, ...used]
  const known = [...stated, ...fromOldPart(input, stated)]
  const isNamed = (name: string) => known.some(({ attribute }) => attribute === name)
  const asked = spec.attributes.filter(
    (attribute) =>
      attribute.role !== 'preference' &&
      attribute.rule !== 'count' &&
      !isNamed(attribute.name) &&
      !isSettledByKind(attribute),
  )
  const preferred = spec.attributes.filter(({ name }) => !isNamed(name)).flatMap(preference)
  const constraints = mergeConstraints([...ofKind, ...known, ...asked.map(unstated), ...preferred])
  const quantity = countOf(input, blocks.inSeries)
  const contradictions = contradictionsOf(constraints)
  const ruledOutBy = contradictions.find(({ between }) => between.some(({ origin }) => origin.includes(OF_THE_KIND)))
  return {
    requirement: {
      partClass: spec.id,
      constraints,
      quantity,
      adaptersAllowed,
      ...(confirmed && confirmed.length > 0 ? { confirmed } : {}),
    },
    contradictions,
    ...(ruledOutBy ? { ruledOutBy } : {}),
    open: asked.map(({ name }) => name),
    asksCount: blocks.asksCount,
    unused: [...unused, ...spares(input)],
    notes: notesOf(input, constraints, quantity),
  }
}
