import { decodeDesignation } from '../designations/decode.ts'
import { ambiguous, missing } from './draft.ts'
import type { Merged } from './merge.ts'
import type { Family, Question, ReadAttribute, ReadValue } from './types.ts'

type Settling = (read: Merged, family: Family) => Merged

const find = ({ attributes }: Merged, name: string) => attributes.find((attribute) => attribute.name === name)
const replace = ({ attributes, questions }: Merged, next: ReadAttribute, ...asked: Question[]): Merged => ({
  attributes: attributes.map((attribute) => (attribute.name === next.name ? next : attribute)),
  questions: [...questions, ...asked],
})

/** Chemistries that "lithium" may mean at a nominal voltage [V], by the systems of IEC 60086 and common practice. */
const LITHIUM: readonly (readonly [volts: number, candidates: readonly string[]])[] = [
  [1.5, ['lithium-iron-disulfide']],
  [3, ['lithium-manganese-dioxide', 'lithium-ion']],
  [3.2, ['lithium-iron-phosphate']],
  [3.6, ['lithium-thionyl-chloride', 'lithium-ion']],
  [3.7, ['lithium-ion']],
  [6, ['lithium-manganese-dioxide']],
  [12.8, ['lithium-iron-phosphate']],
]
const ANY_LITHIUM = [
  'lithium-manganese-dioxide',
  'lithium-thionyl-chloride',
  'lithium-iron-disulfide',
  'lithium-ion',
  'lithium-iron-phosphate',
]

/** The word lithium is no chemistry: the voltage narrows it down, a person decides. */
const settleLithium: Settling = (read) => {
  const chemistry = find(read, 'chemistry')
  if (chemistry?.value !== 'lithium') return read
  const volts = find(read, 'nominalVoltageV')?.value
  const candidates = LITHIUM.find(([at]) => at === volts)?.[1] ?? ANY_LITHIUM
  const reason =
    volts === 3.6
      ? '3.6 V and lithium suggest thionyl chloride for a primary cell: confirm that it is not a rechargeable'
      : 'lithium names several chemistries of different voltage, some of them rechargeable'
  return replace(
    read,
    { ...chemistry, value: candidates[0]!, candidates },
    { ...ambiguous('chemistry', reason), candidates },
  )
}

const HIGHEST_AA_V = 1.65
/** A size such as AA is settled by the chemistry; at another voltage than its usual cells have it is a hazard. */
const settleSize: Settling = (read) => {
  const size = find(read, 'sizeName')
  if (size?.rule !== 'cell-size' && size?.rule !== 'part-size') return read
  const volts = find(read, 'nominalVoltageV')?.value
  const chemistry = find(read, 'chemistry')
  if (size.value === 'AA' && typeof volts === 'number' && volts > HIGHEST_AA_V) {
    const reason = `AA at ${volts} V is no LR6: in a device for 1.5 V it is a hazard`
    const asked: Question = { attribute: 'chemistry', kind: 'hazard', reason }
    return replace(read, { ...size, candidates: volts === 3.6 ? ['ER14505'] : [] }, asked)
  }
  if (!chemistry || chemistry.certainty === 'ambiguous') return read
  const fitting = (size.candidates ?? []).filter((name) => {
    const decoded = decodeDesignation(String(name))
    return decoded.kind === 'decoded' && decoded.chemistry === chemistry.value
  })
  if (fitting.length !== 1) return read
  const { candidates: _, ...rest } = size
  const settled = replace(read, {
    ...rest,
    value: fitting[0] as ReadValue,
    rule: 'size-and-chemistry',
    certainty: 'derived',
  })
  return settled
}

/** V times A of a transformer without VA: derived, and the kind of voltage stays to be confirmed. */
const settleTransformer: Settling = (read, family) => {
  if (family !== 'transformer' && family !== 'dc-supply') return read
  const volts = find(read, 'outputVoltageV')
  const amperes = find(read, 'currentA')
  const isKnown = volts?.certainty === 'stated' && amperes?.certainty === 'stated'
  const needsVA = family === 'transformer' && !find(read, 'apparentPowerVA') && isKnown
  const product = Number(volts?.value) * Number(amperes?.value)
  const derived: ReadAttribute[] =
    needsVA && Number.isFinite(product)
      ? [
          {
            name: 'apparentPowerVA',
            value: Number(product.toPrecision(12)),
            span: amperes!.span,
            rule: 'volts-times-amperes',
            certainty: 'derived',
          },
        ]
      : []
  const implied =
    family === 'transformer'
      ? 'a transformer suggests ac, which is not stated'
      : 'a supply suggests dc, which is not stated'
  const questions = find(read, 'voltageKind') ? [] : [missing('voltageKind', implied)]
  return { attributes: [...read.attributes, ...derived], questions: [...read.questions, ...questions] }
}

/** A 9 V cell without a designation is probably the block, and may be a supply. */
const settleBlock: Settling = (read, family) => {
  const volts = find(read, 'nominalVoltageV')
  if (family !== 'cell' || volts?.value !== 9 || find(read, 'sizeName')) return read
  const asked = ambiguous('sizeName', 'a 9 V block (6LR61, or 6F22 by chemistry) or a supply of 9 V')
  return { ...read, questions: [...read.questions, { ...asked, candidates: ['6LR61', '6F22'] }] }
}

/** What a part of a kind cannot be judged without. */
const NEEDED: Partial<Record<Family, readonly string[]>> = {
  'lead-acid': ['nominalVoltageV', 'chemistry'],
  battery: ['nominalVoltageV', 'chemistry'],
  cell: ['nominalVoltageV', 'chemistry'],
  fuse: ['ratedCurrentA', 'fuseSpeed', 'breakingCapacity'],
  resistor: ['resistanceOhm'],
}
const settleMissing: Settling = (read, family) => {
  const isAsked = (name: string) => read.questions.some(({ attribute }) => attribute === name)
  const absent = (NEEDED[family] ?? []).filter((name) => !find(read, name) && !isAsked(name))
  return { ...read, questions: [...read.questions, ...absent.map((name) => missing(name, 'the text does not say it'))] }
}

/** Every reading that stays open is asked: none is left to be guessed in silence. */
const askOpenNumbers: Settling = (read) => {
  const isAsked = (name: string) => read.questions.some(({ attribute }) => attribute === name)
  const open = read.attributes.filter(
    ({ name, certainty, rule }) =>
      certainty === 'ambiguous' && !['cell-size', 'part-size'].includes(rule) && !isAsked(name),
  )
  const asked = open.map(({ name, candidates }) => ({
    ...ambiguous(name, 'one mark with three figures behind it: decimals in one country, thousands in another'),
    ...(candidates && { candidates }),
  }))
  return { ...read, questions: [...read.questions, ...asked] }
}

/** One question is enough: a plain lack goes where something more exact is asked of the same attribute. */
const askOnce: Settling = (read) => ({
  ...read,
  questions: read.questions.filter(
    (question, index, all) =>
      !all.some(
        (other, at) =>
          other.attribute === question.attribute &&
          (question.kind === 'missing'
            ? other.kind !== 'missing' || at < index
            : other.kind === question.kind && at < index),
      ),
  ),
})

const STEPS: readonly Settling[] = [
  settleLithium,
  settleSize,
  settleTransformer,
  settleBlock,
  settleMissing,
  askOpenNumbers,
  askOnce,
]

/** What follows from the attributes together, and what stays to be confirmed. */
export const settle = (read: Merged, family: Family): Merged => STEPS.reduce((so, step) => step(so, family), read)
