import { inMeasure } from './draft.ts'
import { fractionAt, type NumberRead, numberAt } from './numbers.ts'
import type { Rule, Token } from './tokens.ts'
import { type UnitForm, unitAt } from './unit-forms.ts'

const matchAt = (pattern: RegExp, text: string, at: number): RegExpExecArray | null => {
  pattern.lastIndex = at
  return pattern.exec(text)
}
const SIGN = /(?:\+ ?\/ ?-|\u00b1) ?/y
const BETWEEN = / ?(-|to(?= ?\d)|~|\.{2,3}|\/) ?(?=[\d.])/y
const HOURS =
  / ?(?:[/@] ?|\( ?)?(?:C ?(\d{1,3})(?![\d.A-Za-z])|(\d{1,3}) ?(?:hrs?|hours?|h)(?![A-Za-z])(?: rate)?) ?\)?/iy
const DISTANCE = / ?(?:@|\/|at) ?/iy
const ROLE = /(input|in|primary|pri|output|out|secondary|sec) ?:? ?(?=\d)/iy
const GAP = / ?(?:operating )?gap(?![A-Za-z])/iy

interface Part {
  number: NumberRead
  unit?: { form: UnitForm; end: number }
  end: number
}

function partAt(text: string, at: number, decimalMark?: '.' | ','): Part | undefined {
  const fraction = fractionAt(text, at)
  if (fraction) {
    const unit = unitAt(text, fraction.end)
    if (unit && (unit.form.dimension === 'power' || unit.form.unit === 'in'))
      return { number: fraction, unit, end: unit.end }
  }
  const number = numberAt(text, at, decimalMark)
  if (!number) return undefined
  const unit = unitAt(text, number.end)
  return { number, end: unit?.end ?? number.end, ...(unit && { unit }) }
}

/** Further numbers of a range or a list; what has another dimension begins something new. */
function furtherParts(text: string, first: Part, decimalMark?: '.' | ',') {
  const parts = [first]
  let mark: string | undefined
  while (parts.length < 4) {
    const last = parts.at(-1)!
    const between = matchAt(BETWEEN, text, last.end)
    if (!between || (mark !== undefined && between[1] !== mark)) break
    if (between[1] !== '/' && parts.length > 1) break
    const next = partAt(text, last.end + between[0].length, decimalMark)
    if (!next) break
    const known = first.unit ?? parts.find(({ unit }) => unit)?.unit
    if (known && next.unit?.form.dimension !== known.form.dimension) break
    mark = between[1]
    parts.push(next)
  }
  return { parts, isRange: mark !== undefined && mark !== '/' }
}

/** The hour rate of a capacity, the distance of a sound level, a gap: what qualifies a quantity stands right behind it. */
function qualified(token: Extract<Token, { kind: 'quantity' }>, text: string, end: number) {
  if (token.dimension === 'charge') {
    const hours = matchAt(HOURS, text, end)
    if (hours) return { token: { ...token, hours: Number(hours[1] ?? hours[2]) }, end: end + hours[0].length }
  }
  if (token.dimension === 'sound') {
    const at = matchAt(DISTANCE, text, end)
    const distance = at && partAt(text, end + at[0].length)
    if (distance?.unit?.form.dimension === 'length' && distance.number.other === undefined) {
      const distanceM = inMeasure({ value: distance.number.value, unit: distance.unit.form.unit }, 'm')
      return { token: { ...token, distanceM }, end: distance.end }
    }
  }
  const gap = token.dimension === 'length' ? matchAt(GAP, text, end) : null
  return gap ? { token: { ...token, role: 'gap' as const }, end: end + gap[0].length } : { token, end }
}

/** Where an amount may begin: a figure, a sign of tolerance, the side of a supply. */
export const QUANTITY_START = new RegExp(`[.\\d]|${SIGN.source}|${ROLE.source}`, 'iy')

/** A number with its unit, a range, or a list: 12 V, 6-14 VDC, 50/60 Hz, 230V/16V, 1/4 W. */
export const quantityRule: Rule = (text, from, decimalMark) => {
  const role = matchAt(ROLE, text, from)
  const sign = role ? null : matchAt(SIGN, text, from)
  const at = from + ((role ?? sign)?.[0].length ?? 0)
  const first = partAt(text, at, decimalMark)
  if (!first) return undefined
  const { parts, isRange } = furtherParts(text, first, decimalMark)
  const measured = parts.findLastIndex(({ unit }) => unit !== undefined)
  if (measured < 0) return undefined
  const kept = parts.slice(0, measured + 1)
  const unit = kept[measured]!.unit!.form
  const numbers = kept.map(({ number, unit: own }) => inUnit(number, own?.form.unit ?? unit.unit, unit.unit))
  if (isRange && numbers.length === 2 && numbers[0]!.value >= numbers[1]!.value) return undefined
  if (role && unit.dimension !== 'voltage') return undefined
  const current = kept.map(({ unit: own }) => own?.form.kind).find((kind) => kind !== undefined)
  const token = {
    kind: 'quantity' as const,
    dimension: unit.dimension,
    unit: unit.unit,
    form: numbers.length === 1 ? ('one' as const) : isRange ? ('range' as const) : ('list' as const),
    numbers,
    ...(current && { current }),
    ...(role && { role: /^[ip]/i.test(role[1]!) ? ('input' as const) : ('output' as const) }),
  }
  return qualified(token, text, kept[measured]!.end)
}

function inUnit(number: NumberRead, from: string, to: string): NumberRead {
  if (from === to) return number
  const other = number.other === undefined ? {} : { other: inMeasure({ value: number.other, unit: from }, to) }
  return { ...number, value: inMeasure({ value: number.value, unit: from }, to), ...other }
}

const TIMES = / ?[x*] ?(?=[\d.])/iy
const LETTERED_SIDE = / ?\([LWHD]\)|[LWHD](?![A-Za-z])/iy
const BRACKET = / ?\( ?(?=[\d.])/y
const CLOSE = / ?(?:mm ?)?\)/iy

/** Two or three numbers with "x" between them, the height over the terminals in brackets, one unit for all. */
export const measuresRule: Rule = (text, from, decimalMark) => {
  const parts: Part[] = []
  let end = from
  while (parts.length < 3) {
    const times = parts.length === 0 ? null : matchAt(TIMES, text, end)
    if (parts.length > 0 && !times) break
    const part = partAt(text, end + (times?.[0].length ?? 0), decimalMark)
    if (!part || (part.unit && part.unit.form.dimension !== 'length')) break
    end = part.end + (matchAt(LETTERED_SIDE, text, part.end)?.[0].length ?? 0)
    parts.push(part)
  }
  if (parts.length < 2) return undefined
  const bracket = bracketAt(text, end, decimalMark)
  end = bracket?.end ?? end
  const behind = bracket ? unitAt(text, end) : undefined
  if (behind?.form.dimension === 'length') end = behind.end
  const unit = (behind?.form.dimension === 'length' ? behind : parts.findLast((part) => part.unit)?.unit)?.form.unit
  const token: Token = {
    kind: 'measures',
    numbers: parts.map((part) => inUnit(part.number, part.unit?.form.unit ?? unit ?? 'mm', unit ?? 'mm')),
    ...(bracket && { bracket: bracket.number }),
    ...(unit && { unit }),
  }
  return { token, end }
}

function bracketAt(text: string, at: number, decimalMark?: '.' | ',') {
  const open = matchAt(BRACKET, text, at)
  const number = open && numberAt(text, at + open[0].length, decimalMark)
  const close = number && matchAt(CLOSE, text, number.end)
  return close ? { number, end: number.end + close[0].length } : undefined
}
