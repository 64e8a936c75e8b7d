import fc from 'fast-check'

/** Values that a JSON Schema allows, and small changes that it may not. */

export type Schema = Record<string, any>

const MOST_ITEMS = 3
const MOST_DEPTH = 6

/** Schemas of a document by reference. */
export function resolver(document: Schema): (schema: Schema) => Schema {
  return (schema) => {
    if (typeof schema.$ref !== 'string') return schema
    return schema.$ref
      .split('/')
      .slice(1)
      .reduce((value: Schema, part: string) => value[part], document)
  }
}

/** A pattern that looks around is not generated from: words are tried, and the caller leaves out what does not fit. */
const LOOKS_AROUND = /\(\?[=!<]/

function textOf({ pattern, format, minLength = 0, maxLength = 40 }: Schema): fc.Arbitrary<string> {
  const isFit = (text: string) => text.length >= minLength && text.length <= maxLength
  if (format === 'date-time')
    return fc
      .date({ min: new Date('1990-01-01'), max: new Date('2100-01-01'), noInvalidDate: true })
      .map((date) => date.toISOString())
  if (pattern !== undefined && !LOOKS_AROUND.test(pattern)) return fc.stringMatching(new RegExp(pattern)).filter(isFit)
  if (pattern !== undefined) return fc.constantFrom('a', 'en-GB', 'quiet hall', '00112233445566778899aabbccddeeff')
  return fc
    .string({ unit: 'grapheme', minLength, maxLength: Math.max(minLength, Math.min(maxLength, 20)) })
    .filter(isFit)
}

function numberOf({ type, minimum, maximum, exclusiveMinimum, exclusiveMaximum }: Schema): fc.Arbitrary<number> {
  const min = minimum ?? exclusiveMinimum ?? -1e6
  const max = maximum ?? exclusiveMaximum ?? 1e6
  if (type === 'integer') {
    const from = exclusiveMinimum === undefined ? Math.ceil(min) : Math.floor(min) + 1
    return fc.integer({ min: from, max: Math.min(Math.floor(max), Number.MAX_SAFE_INTEGER) })
  }
  const isInside = (value: number) =>
    !(exclusiveMinimum !== undefined && value <= min) && !(exclusiveMaximum !== undefined && value >= max)
  const any = fc.double({ min, max, noNaN: true })
  const [low, high] = [Math.ceil(Math.max(min, -100)), Math.floor(Math.min(max, 100))]
  return (low <= high ? fc.oneof(any, fc.integer({ min: low, max: high })) : any).filter(isInside)
}

/** Anything that the schema allows; deep optional parts are left out. */
export function arbitraryOf(raw: Schema, resolve: (schema: Schema) => Schema, depth = 0): fc.Arbitrary<unknown> {
  const parts: Schema[] = [resolve(raw), ...(resolve(raw).allOf ?? []).map(resolve)]
  const schema: Schema = Object.assign({}, ...parts)
  const inner = (part: Schema) => arbitraryOf(part, resolve, depth + 1)
  if (schema.enum) return fc.constantFrom(...schema.enum)
  if ('const' in schema) return fc.constant(schema.const)
  const union = schema.anyOf ?? schema.oneOf
  if (union) return fc.oneof(...union.map(inner))
  if (Array.isArray(schema.type)) return fc.oneof(...schema.type.map((type: string) => inner({ ...schema, type })))
  if (schema.type === 'string') return textOf(schema)
  if (schema.type === 'number' || schema.type === 'integer') return numberOf(schema)
  if (schema.type === 'boolean') return fc.boolean()
  if (schema.type === 'null') return fc.constant(null)
  if (schema.prefixItems) return fc.tuple(...schema.prefixItems.map(inner))
  if (schema.type === 'array') {
    const { minItems = 0, maxItems = MOST_ITEMS } = schema
    const bounds = { minLength: minItems, maxLength: Math.max(minItems, Math.min(maxItems, MOST_ITEMS)) }
    return depth > MOST_DEPTH && minItems === 0 ? fc.constant([]) : fc.array(inner(schema.items ?? {}), bounds)
  }
  if (schema.type === 'object') return objectOf(schema, inner, depth)
  return fc.constantFrom('a', 1, true)
}

const UNITS = ['V', 'mA', 'Ah', 'h', 'Ohm', 'm', 'W', 'VA', 'Cel', '%', 'min']

function objectOf(
  schema: Schema,
  inner: (part: Schema) => fc.Arbitrary<unknown>,
  depth: number,
): fc.Arbitrary<unknown> {
  const { properties = {}, required = [], additionalProperties } = schema
  const names = Object.keys(properties).filter((name) => depth <= MOST_DEPTH || required.includes(name))
  const fieldOf = (name: string) =>
    name === 'unit' && !properties.unit.enum
      ? fc.oneof(fc.constantFrom(...UNITS), inner(properties.unit))
      : inner(properties[name])
  const record = fc.record(Object.fromEntries(names.map((name) => [name, fieldOf(name)])), {
    requiredKeys: required,
    noNullPrototype: true,
  })
  if (typeof additionalProperties !== 'object') return record
  const more = fc.dictionary(fc.stringMatching(/^[a-z]{1,8}$/), inner(additionalProperties), {
    maxKeys: 3,
    noNullPrototype: true,
  })
  return fc.tuple(record, more).map(([own, others]) => ({ ...others, ...own }))
}

type Place = (string | number)[]
function places(value: unknown, at: Place = []): Place[] {
  if (typeof value !== 'object' || value === null) return [at]
  return [at, ...Object.entries(value).flatMap(([key, part]) => places(part, [...at, key]))]
}

const WRONG = [null, true, 'x', '', -1, 1e308, 0.5, [], {}, [[]], { x: 1 }, 'x'.repeat(5000)]
const CHANGES = ['replaced', 'removed', 'added', 'repeated'] as const

function changed(value: unknown, [key, ...rest]: Place, change: (typeof CHANGES)[number], by: unknown): unknown {
  if (key === undefined) return by
  const copy: any = Array.isArray(value) ? [...value] : { ...(value as object) }
  if (rest.length > 0) copy[key] = changed(copy[key], rest, change, by)
  else if (change === 'replaced') copy[key] = by
  else if (change === 'repeated') copy[key] = Array(300).fill(copy[key])
  else if (change === 'added' && !Array.isArray(copy)) copy.surelyNoField = by
  else if (Array.isArray(copy)) copy.splice(Number(key), 1)
  else delete copy[key]
  return copy
}

/** A value with one place of it changed. */
export const mutationsOf = (value: unknown): fc.Arbitrary<unknown> =>
  fc
    .tuple(fc.constantFrom(...places(value)), fc.constantFrom(...CHANGES), fc.constantFrom(...WRONG))
    .map(([place, change, by]) => changed(value, place, change, by))
