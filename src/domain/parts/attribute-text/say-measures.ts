import { ambiguous, type Context, type Draft, inMeasure, NOTHING, numeric, type Said } from './draft.ts'
import type { NumberRead } from './numbers.ts'
import type { Token } from './tokens.ts'
import type { Family } from './types.ts'

type Measures = Extract<Token, { kind: 'measures' }>
/** Cartridge sizes of IEC 60127 and what the trade writes for them, by diameter and length [mm]. */
const FUSE_SIZES: Record<string, string> = {
  '5x20': '5x20',
  '6.3x32': '6.3x32',
  '6.35x31.75': '6.3x32',
  '6.3x31.8': '6.3x32',
}
const SOLID: readonly Family[] = ['lead-acid', 'battery', 'cell', 'unknown']
/** Below this a bare number may be inches: no block battery is shorter on its longest side. */
const SURELY_MM = 40

const side = (name: string, number: NumberRead, unit: string): Draft =>
  numeric(name, number, 'measures', (value) => inMeasure({ value, unit }, 'mm'))

/** Length, width and height; with a bracket the height over the terminals stands in it. */
function sayThree({ numbers, bracket, unit }: Measures, family: Family): Said {
  const names =
    family === 'box' ? ['innerLengthMm', 'innerWidthMm', 'innerHeightMm'] : ['lengthMm', 'widthMm', 'heightMm']
  const all = bracket ? [...numbers.slice(0, 2), bracket] : numbers
  const drafts = all.map((number, index) => side(names[index]!, number, unit ?? 'mm'))
  const body = bracket ? [side('caseHeightMm', numbers[2]!, unit ?? 'mm')] : []
  if (unit) return { attributes: [...drafts, ...body] }
  if (numbers.some(({ value }) => value >= SURELY_MM))
    return { attributes: [...drafts, ...body].map((draft) => ({ ...draft, certainty: sure(draft) })) }
  const open = drafts.map((draft) => ({
    ...draft,
    certainty: 'ambiguous' as const,
    candidates: [draft.value!, inMeasure({ value: Number(draft.value), unit: 'in' }, 'mm')],
  }))
  return { attributes: open, questions: [ambiguous(names[0]!, 'measures without a unit: millimetres or inches')] }
}
const sure = ({ certainty }: Draft) => (certainty === 'stated' ? ('derived' as const) : certainty)

function sayFuse({ numbers }: Measures, isKnownFuse: boolean): Said {
  const [diameter, length] = numbers
  const sizeName = FUSE_SIZES[`${diameter!.value}x${length!.value}`]
  if (sizeName === undefined && !isKnownFuse) return NOTHING
  return {
    attributes: [
      ...(sizeName ? [{ name: 'sizeName', value: sizeName, rule: 'fuse-size', certainty: 'stated' as const }] : []),
      side('diameterMm', diameter!, 'mm'),
      side('lengthMm', length!, 'mm'),
    ],
  }
}

function sayBarrel({ numbers, unit }: Measures): Said {
  const [outer, inner] = [...numbers].sort((a, b) => b.value - a.value)
  return { attributes: [side('barrelOuterMm', outer!, unit ?? 'mm'), side('barrelInnerMm', inner!, unit ?? 'mm')] }
}

/** What numbers with "x" between them say of a part. */
export function sayMeasures(measures: Measures, { family }: Context): Said {
  if (measures.numbers.length === 3)
    return SOLID.includes(family) || family === 'box' ? sayThree(measures, family) : NOTHING
  if (family === 'fuse' || family === 'unknown') return sayFuse(measures, family === 'fuse')
  if (family === 'dc-supply') return sayBarrel(measures)
  if (family !== 'cable' || measures.unit) return NOTHING
  const [count, area] = measures.numbers
  if (!Number.isInteger(count!.value) || area!.value > 10) return NOTHING
  return {
    attributes: [
      { name: 'conductors', value: count!.value, rule: 'cores-of-area', certainty: 'stated' },
      { name: 'areaMm2', value: area!.value, rule: 'cores-of-area', certainty: 'derived' },
    ],
  }
}
