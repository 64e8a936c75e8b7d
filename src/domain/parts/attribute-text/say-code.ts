import { decodeDesignation } from '../designations/decode.ts'
import { envelopeOf } from '../designations/sizes.ts'
import { ambiguous, type Context, type Draft, missing, NOTHING, type Said } from './draft.ts'
import { gaugeSaid } from './say-quantity.ts'
import type { Token } from './tokens.ts'
import type { Family, ReadValue } from './types.ts'

type Of<K extends Token['kind']> = Extract<Token, { kind: K }>
const stated = (name: string, value: ReadValue, rule: string): Draft => ({ name, value, rule, certainty: 'stated' })
const derived = (name: string, value: ReadValue, rule: string): Draft => ({ name, value, rule, certainty: 'derived' })

/** M is mega on a resistor and a metre on a cable: where nothing tells which, it stays open. */
function sayLetters({ ohm, toleranceFraction, isMega, code }: Of<'letters'>, context: Context): Said {
  const { family, tokens } = context
  const isCell = (family === 'cell' || family === 'battery') && envelopeOf(code.replace(/^R/, '')) !== undefined
  if (isCell && code.startsWith('R'))
    return sayCell({ kind: 'cell-name', name: code, designations: [code], isAlsoAmperes: false }, context)
  if (family !== 'resistor' && family !== 'unknown') return NOTHING
  const isAlone = isMega && !tokens.some(({ token }) => token.kind === 'kind-of-part' || isResistive(token))
  const resistance = {
    ...stated('resistanceOhm', ohm, 'letter-code'),
    ...(isAlone && { certainty: 'ambiguous' as const }),
  }
  const tolerance =
    toleranceFraction === undefined ? [] : [stated('toleranceFraction', toleranceFraction, 'letter-code')]
  return {
    attributes: [resistance, ...tolerance],
    ...(isAlone && { questions: [ambiguous('resistanceOhm', 'M is mega on a resistor and may be metres on a lead')] }),
  }
}
const isResistive = (token: Token) =>
  token.kind === 'quantity' && ['power', 'percent', 'resistance'].includes(token.dimension)

/** Kinds of part that take a cell and are none. */
const TAKES_CELL: readonly Family[] = ['radio', 'detector', 'contact', 'sounder']
const AMPERES: Partial<Record<Family, string>> = {
  fuse: 'ratedCurrentA',
  transformer: 'currentA',
  'dc-supply': 'currentA',
  sounder: 'currentA',
}

function sayCell({ name, designations, isAlsoAmperes }: Of<'cell-name'>, { family }: Context): Said {
  const amperes = isAlsoAmperes ? AMPERES[family] : undefined
  if (amperes) return { attributes: [stated(amperes, Number(name.slice(0, -1)), 'current')] }
  if (TAKES_CELL.includes(family)) return { attributes: [sizeOf('batterySizeName', name, designations)] }
  if (isAlsoAmperes && family === 'unknown') {
    const size = {
      ...sizeOf('sizeName', name, designations),
      certainty: 'ambiguous' as const,
      candidates: designations,
    }
    return {
      attributes: [size],
      questions: [ambiguous('sizeName', `${name} names a cell, or is a current in amperes`)],
    }
  }
  if (designations.length > 1)
    return {
      attributes: [sizeOf('sizeName', name, designations)],
      questions: [missing('chemistry', `${name} is a size that several chemistries share`)],
    }
  const decoded = decodeDesignation(designations[0]!)
  const told = decoded.kind === 'decoded' ? decoded : undefined
  return {
    attributes: [
      sizeOf('sizeName', name, designations),
      ...(told?.chemistry === undefined ? [] : [derived('chemistry', told.chemistry, 'system-letter')]),
      ...(told?.nominalVoltageV === undefined
        ? []
        : [derived('nominalVoltageV', told.nominalVoltageV, 'system-letter')]),
      ...(told?.rechargeable === undefined ? [] : [derived('rechargeable', told.rechargeable, 'system-letter')]),
    ],
  }
}

function sizeOf(attribute: string, name: string, designations: readonly string[]): Draft {
  const [only, ...more] = designations
  if (more.length > 0)
    return { name: attribute, value: name, rule: 'cell-size', certainty: 'ambiguous', candidates: designations }
  return only === name ? stated(attribute, name, 'designation') : derived(attribute, only ?? name, 'cell-name')
}

function saySize({ name }: Of<'part-size'>, { family }: Context): Said {
  if (TAKES_CELL.includes(family)) return { attributes: [stated('batterySizeName', name, 'part-size')] }
  const half = name === '1/2AA' ? ['CR14250', 'ER14250'] : undefined
  const size: Draft = half
    ? { name: 'sizeName', value: name, rule: 'part-size', certainty: 'ambiguous', candidates: half }
    : stated('sizeName', name, 'part-size')
  return {
    attributes: [size],
    questions: [missing('chemistry', `${name} is a size and says nothing of the chemistry`)],
  }
}

function sayFuse({ speed, ratedCurrentA, breakingCapacity, voltageV }: Of<'fuse'>): Said {
  return {
    attributes: [
      stated('fuseSpeed', speed, 'fuse-mark'),
      stated('ratedCurrentA', ratedCurrentA, 'fuse-mark'),
      ...(breakingCapacity === undefined ? [] : [stated('breakingCapacity', breakingCapacity, 'fuse-mark')]),
      ...(voltageV === undefined ? [] : [stated('voltageV', voltageV, 'fuse-mark')]),
    ],
  }
}

function sayLetter({ letter }: Of<'letter'>, { family }: Context): Said {
  if (family !== 'fuse') return NOTHING
  const name = 'LHE'.includes(letter) ? 'breakingCapacity' : 'fuseSpeed'
  return { attributes: [stated(name, letter, 'fuse-letter')] }
}

/** Pieces in a pack; a number before the name of a cell may also count the cells that a holder takes. */
function sayPack({ count, side }: Of<'pack'>, { family, isClassGiven }: Context): Said {
  if (side !== 'before' || (isClassGiven && family === 'cell'))
    return { attributes: [stated('packQuantity', count, 'pack')] }
  if (family === 'box') return { attributes: [stated('cellCount', count, 'cells-of-holder')] }
  if (TAKES_CELL.includes(family)) return { attributes: [stated('quantityPerSet', count, 'cells-of-device')] }
  return {
    attributes: [{ name: 'packQuantity', value: count, rule: 'pack', certainty: 'ambiguous', candidates: [count, 1] }],
    questions: [ambiguous('packQuantity', `${count} in a pack, or ${count} cells in one holder or battery`)],
  }
}

function sayPair({ gauge, count }: Of<'gauge-pair'>, { family }: Context): Said {
  if (family !== 'cable') return NOTHING
  return { attributes: [...gaugeSaid(gauge), stated('conductors', count, 'gauge-and-conductors')] }
}

const STRAND_AREA = (diameterMm: number) => (Math.PI * diameterMm ** 2) / 4

/** What a code or a name says of a part; each by the rule that is named with it. */
export const SAY_CODE: {
  [K in Exclude<Token['kind'], 'quantity' | 'measures' | 'kind-of-part'>]: (token: Of<K>, context: Context) => Said
} = {
  letters: sayLetters,
  fuse: sayFuse,
  letter: sayLetter,
  pack: sayPack,
  'gauge-pair': sayPair,
  'cell-name': sayCell,
  'part-size': saySize,
  strands: ({ count, diameterMm }, { family }) =>
    family === 'cable'
      ? { attributes: [derived('areaMm2', Number((count * STRAND_AREA(diameterMm)).toPrecision(2)), 'strands')] }
      : NOTHING,
  cores: ({ count }, { family }) =>
    family === 'cable' || family === 'cord' ? { attributes: [stated('conductors', count, 'cores')] } : NOTHING,
  'cores-of-area': ({ count, areaMm2 }) => ({
    attributes: [stated('conductors', count, 'cores-of-area'), stated('areaMm2', areaMm2, 'cores-of-area')],
  }),
  fact: ({ fact }, { family }) => {
    const { name, value, rule, certainty, candidates, question, families } = fact
    if (families && !families.includes(family)) return NOTHING
    return {
      attributes: [{ name, value, rule, certainty, ...(candidates && { candidates }) }],
      ...(question && { questions: [ambiguous(name, question)] }),
    }
  },
}
