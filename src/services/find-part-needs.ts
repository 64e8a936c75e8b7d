import { findNeeds, type Need, type NeedNote, type NeedsInput } from '../domain/parts/needs/find-needs.ts'
import type { PartClass, Remedy } from '../ontology/shape.ts'
import { basisOf } from './basis.ts'
import { withSafety } from './match-parts.ts'
import { type DiagnosisContext, wordOutlook } from './part-outlook.ts'
import { wordSale } from './part-sale.ts'
import { specOf } from './part-spec.ts'
import type { Wording } from './texts.ts'
import { wordHazard } from './word-cautions.ts'
import { wordContradictions } from './word-contradictions.ts'

export interface FindNeedsInput extends Omit<NeedsInput, 'spec' | 'closed'> {
  wording: Wording
  remedy?: string
  partClass?: string
  diagnosis?: DiagnosisContext
}
type Role = 'part' | 'accessory'

const NOTES: Record<NeedNote, string> = {
  'replace-together': 'Replace all of them together: same type, same age. An old one drains a new one.',
  'old-capacity-differs': 'The old part was smaller than the sizing asks for: the new one is not a copy of it.',
  'upper-bound-presumed':
    'Nobody has stated the largest capacity that the charger may charge: anything larger than the old part is a question first.',
  'room-presumed': 'The room in the case is not measured: anything larger than the old part is a question first.',
}
/** What is said of a kind of part before anybody looks for one. */
const LIMITS: readonly string[] = ['limit', 'installer', 'activation']
const COUNT = {
  attribute: 'fittedCount',
  label: 'Blocks in place',
  find: 'Count the blocks that are joined to each other.',
  isSafety: false,
}

/** Classes of a remedy: what is bought along with another of them is an accessory. */
function classesOf({ wording, remedy, partClass }: FindNeedsInput): { partClass: PartClass; role: Role }[] {
  const ids =
    partClass === undefined && remedy !== undefined ? wording.concept<Remedy>(remedy).partClasses : [partClass!]
  const classes = ids.map((id) => wording.concept<PartClass>(id))
  return classes.map((one) => ({
    partClass: one,
    role: one.accessoryTo?.some((main) => ids.includes(main)) ? 'accessory' : 'part',
  }))
}

/** Attributes of which the word read off the old part is on the list of one class: then it is none of the others'. */
function closedFor({ oldPart }: FindNeedsInput, classes: readonly PartClass[]): Set<string> {
  const listed = classes.flatMap(({ attributes }) =>
    attributes.filter(({ name, values }) => Object.hasOwn(oldPart, name) && values?.includes(String(oldPart[name]))),
  )
  return new Set(listed.map(({ name }) => name))
}

const STATES = ['open', 'contradicted', 'ruled-out'] as const
const stateOf = ({ ruledOutBy, contradictions }: Need): (typeof STATES)[number] =>
  ruledOutBy ? 'ruled-out' : contradictions.length > 0 ? 'contradicted' : 'open'

function questionsOf(wording: Wording, { attributes }: PartClass, { open, asksCount }: Need) {
  const asked = attributes
    .filter(({ name }) => open.includes(name))
    .map(({ name, label, find, role }) => ({
      attribute: name,
      label: wording.say(label),
      find: wording.say(find),
      isSafety: role === 'safety',
    }))
  return [
    ...asked.filter(({ isSafety }) => isSafety),
    ...(asksCount ? [COUNT] : []),
    ...asked.filter((one) => !one.isSafety),
  ]
}

/** What belongs to the part itself says nothing of what is bought along. */
const forAccessory = (input: NeedsInput): NeedsInput => {
  const { quantity: _, ...rest } = input
  return { ...rest, sizing: {}, oldPart: {}, demands: [] }
}

/** A requirement as a body for matching carries it. */
function wireRequirement({ constraints, confirmed, ...rest }: Need['requirement']) {
  return {
    ...rest,
    constraints: constraints.map(({ value, ...constraint }) => ({
      ...constraint,
      value: typeof value === 'object' ? [...value] : value,
    })),
    ...(confirmed ? { confirmed: [...confirmed] } : {}),
  }
}

function needOf(input: FindNeedsInput, partClass: PartClass, role: Role, closed: ReadonlySet<string>) {
  const { wording } = input
  const demands = withSafety(partClass, input.demands)
  const whole: NeedsInput = { ...input, spec: specOf(partClass), demands, closed }
  const need = findNeeds(role === 'accessory' ? forAccessory(whole) : whole)
  const contradictions = wordContradictions(wording, partClass, need.contradictions)
  return {
    partClass: partClass.id,
    label: wording.label(partClass.id),
    role,
    ...(partClass.note ? { remark: wording.say(partClass.note) } : {}),
    state: stateOf(need),
    isComplete: need.open.length === 0 && !need.asksCount && need.contradictions.length === 0,
    contradictions,
    requirement: wireRequirement(need.requirement),
    questions: questionsOf(wording, partClass, need),
    notes: need.notes.map((code) => ({ code, message: NOTES[code] })),
    cautions: (partClass.hazards ?? []).map((id) => wordHazard(wording, id)),
    limits: wordSale(wording, partClass, undefined).filter(({ kind }) => LIMITS.includes(kind)),
    unused: need.unused,
  }
}

/** What the part of a remedy must be, what has to be read off the old one, and how to read it safely. */
export function findPartNeeds(input: FindNeedsInput) {
  const { wording, remedy, diagnosis } = input
  const classes = classesOf(input)
  const mains = classes.filter(({ role }) => role === 'part').map(({ partClass }) => partClass)
  const closed = closedFor(input, mains)
  const needs = classes
    .map(({ partClass, role }, at) => ({ at, need: needOf(input, partClass, role, closed) }))
    .sort(
      (a, b) =>
        Number(a.need.role === 'accessory') - Number(b.need.role === 'accessory') ||
        STATES.indexOf(a.need.state) - STATES.indexOf(b.need.state) ||
        a.at - b.at,
    )
    .map(({ need }) => need)
  const first = needs[0]?.partClass
  const context = diagnosis && { ...diagnosis, ...(remedy === undefined ? {} : { remedy }) }
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    ...(context ? { outlook: wordOutlook(wording, first, context) } : {}),
    ...(remedy === undefined ? {} : { remedy }),
    needs,
  }
}
