import { type ColumnValue, compareWithColumns } from '../domain/parts/attribute-text/compare.ts'
import { readAttributes } from '../domain/parts/attribute-text/read-attributes.ts'
import type { Question, ReadAttribute, ReadText } from '../domain/parts/attribute-text/types.ts'
import { implausibleFor } from '../domain/parts/case-families.ts'
import { decodeDesignation } from '../domain/parts/designations/decode.ts'
import { readGtin } from '../domain/parts/gtin.ts'
import type { PartClass } from '../ontology/shape.ts'
import { basisOf } from './basis.ts'
import type { Wording } from './texts.ts'
import { wordHazard } from './word-cautions.ts'

export interface ReadPartInput {
  text: string
  partClass?: PartClass
  decimalMark?: '.' | ','
  columns?: Readonly<Record<string, ColumnValue>>
  gtin?: string
}

const labelOf = (partClass: PartClass | undefined, wording: Wording, attribute: string) => {
  const known = partClass?.attributes.find(({ name }) => name === attribute)
  return known === undefined ? {} : { label: wording.say(known.label), find: wording.say(known.find) }
}

const sayingOf = ({ value, range, list }: ReadAttribute) =>
  range ? { range } : list ? { list: [...list] } : { value: value! }

function wordAttribute({ name, span, rule, certainty, candidates, ...said }: ReadAttribute, text: string) {
  const { start, end } = span
  return {
    attribute: name,
    ...sayingOf({ name, span, rule, certainty, ...said }),
    certainty,
    ...(candidates && { candidates: [...candidates] }),
    rule,
    span: { start, end, text: text.slice(start, end) },
  }
}

/** What nobody has to confirm, in the form in which an item carries it. */
function settledOf({
  attributes,
}: ReadText): Record<string, NonNullable<ReadAttribute['value'] | ReadAttribute['range']>> {
  const settled = attributes.filter(({ certainty, list }) => certainty !== 'ambiguous' && list === undefined)
  return Object.fromEntries(settled.map(({ name, value, range }) => [name, range ?? value!]))
}

/** Cells whose designation the text or a column settles. */
function cellOf(values: Readonly<Record<string, unknown>>) {
  const { sizeName } = values
  const decoded = typeof sizeName === 'string' ? decodeDesignation(sizeName) : undefined
  if (decoded?.kind !== 'decoded') return {}
  const { kind: _, aliases, needsConfirmation, ...cell } = decoded
  return { cell: { ...cell, otherNames: [...aliases], needsConfirmation: [...needsConfirmation] } }
}

/** What to mind with a part of this kind before it is handled or fitted. */
function hazardsOf({ family, questions }: ReadText, known: Readonly<Record<string, unknown>>): string[] {
  const { chemistry, inputVoltageV } = known
  const isLithium = /^lithium/.test(String(chemistry)) || questions.some(({ kind }) => kind === 'hazard')
  return [
    ...(family === 'lead-acid' ? ['hazard/vrla-short-circuit', 'hazard/vrla-acid-and-gas'] : []),
    ...(isLithium ? ['hazard/lithium-cell'] : []),
    ...(inputVoltageV !== undefined || family === 'fuse' ? ['hazard/mains-voltage'] : []),
  ]
}

/** Attributes of the class that must be known before a part may be called a fit, and that nobody has told. */
function askFor(partClass: PartClass | undefined, wording: Wording, known: Readonly<Record<string, unknown>>) {
  return (partClass?.attributes ?? [])
    .filter(({ name, role }) => role !== 'preference' && !Object.hasOwn(known, name))
    .map(({ name, label, find }) => ({ attribute: name, label: wording.say(label), find: wording.say(find) }))
}

/** What the text of a part says, what a person must confirm, and where it contradicts the typed columns. */
export function readPart(wording: Wording, { text, partClass, decimalMark, columns = {}, gtin }: ReadPartInput) {
  const read = readAttributes(text, {
    ...(partClass && { partClass: partClass.id }),
    ...(decimalMark && { decimalMark }),
  })
  const known = { ...settledOf(read), ...columns }
  const isOpen = ({ attribute }: Question) => !Object.hasOwn(columns, attribute)
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    kind: read.family,
    attributes: read.attributes.map((attribute) => wordAttribute(attribute, text)),
    settled: settledOf(read),
    confirm: read.questions.filter(isOpen).map(({ attribute, kind, reason, candidates }) => ({
      attribute,
      kind,
      reason,
      ...(candidates && { candidates: [...candidates] }),
      ...labelOf(partClass, wording, attribute),
    })),
    conflicts: compareWithColumns(read, columns),
    doubts: implausibleFor(known).map(({ usual, ...doubt }) => ({ ...doubt, usual: [...usual] })),
    ...cellOf(known),
    ...(gtin === undefined ? {} : { gtin: readGtin(gtin) }),
    askFor: askFor(partClass, wording, known),
    words: read.residue,
    cautions: hazardsOf(read, known).map((id) => wordHazard(wording, id)),
  }
}
