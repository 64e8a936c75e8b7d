/** What of a newer document would break a client that was written for an older one. */

// biome-ignore lint/suspicious/noExplicitAny: documents are walked, not understood.
type Json = Record<string, any>
export interface Break {
  /** Place in the document, readable: method, path, side, field. */
  at: string
  rule: string
}
type Side = 'sent' | 'answered'
interface Walk {
  before: Json
  after: Json
  side: Side
  seen: Set<string>
}

const METHODS = ['get', 'put', 'post', 'delete', 'patch'] as const
const typesOf = (schema: Json): string[] => [schema.type ?? []].flat()
const UPPER = ['maximum', 'exclusiveMaximum', 'maxLength', 'maxItems', 'maxProperties']
const LOWER = ['minimum', 'exclusiveMinimum', 'minLength', 'minItems', 'minProperties']

function resolved(document: Json, schema: Json): Json {
  if (typeof schema.$ref !== 'string') return schema
  const parts = schema.$ref.split('/').slice(1)
  return parts.reduce((value: Json, part: string) => value[part.replaceAll('~1', '/').replaceAll('~0', '~')], document)
}

const variantsOf = (schema: Json): Json[] => schema.anyOf ?? schema.oneOf ?? [schema]
const isUnion = (schema: Json) => (schema.anyOf ?? schema.oneOf) !== undefined

/** Whether every type of the narrower is one of the wider; a whole number is a number. */
const covers = (wider: string[], narrower: string[]) =>
  wider.length === 0 ||
  (narrower.length > 0 &&
    narrower.every((type) => wider.includes(type) || (type === 'integer' && wider.includes('number'))))

function typeBreaks(before: Json, after: Json, side: Side, at: string): Break[] {
  const [old, now] = [typesOf(before), typesOf(after)]
  const holds = side === 'sent' ? covers(now, old) : covers(old, now)
  return holds ? [] : [{ at, rule: `type changed from ${old.join('|') || 'any'} to ${now.join('|') || 'any'}` }]
}

/** Values that a client may send, or limits that it may reach, and that are refused now. */
function limitBreaks(before: Json, after: Json, at: string): Break[] {
  const breaks: Break[] = []
  const [oldValues, newValues] = [before, after].map(
    (schema) => schema.enum ?? ('const' in schema ? [schema.const] : undefined),
  )
  const gone = newValues && oldValues?.filter((value: unknown) => !newValues.includes(value))
  if (newValues && !oldValues) breaks.push({ at, rule: 'any value narrowed to a list' })
  if (gone?.length) breaks.push({ at, rule: `values no longer taken: ${gone.join(', ')}` })
  for (const [names, isTighter] of [
    [UPPER, (old: number | undefined, now: number) => old === undefined || now < old],
    [LOWER, (old: number | undefined, now: number) => (old === undefined ? now > 0 : now > old)],
  ] as const)
    for (const name of names)
      if (after[name] !== undefined && isTighter(before[name], after[name]))
        breaks.push({ at, rule: `${name} tightened from ${before[name] ?? 'none'} to ${after[name]}` })
  if (after.pattern !== undefined && after.pattern !== before.pattern) breaks.push({ at, rule: 'pattern changed' })
  return breaks
}

function fieldBreaks(walk: Walk, before: Json, after: Json, at: string): Break[] {
  const [old, now]: [Json, Json] = [before.properties ?? {}, after.properties ?? {}]
  const [oldRequired, newRequired]: [string[], string[]] = [before.required ?? [], after.required ?? []]
  const breaks: Break[] = []
  for (const [name, schema] of Object.entries<Json>(old)) {
    const place = `${at}/${name}`
    if (now[name] !== undefined) breaks.push(...schemaBreaks(walk, schema, now[name], place))
    else if (walk.side === 'answered') breaks.push({ at: place, rule: 'field of the answer removed' })
    else if (after.additionalProperties === false)
      breaks.push({ at: place, rule: 'field of the request no longer taken' })
    if (
      walk.side === 'answered' &&
      now[name] !== undefined &&
      oldRequired.includes(name) &&
      !newRequired.includes(name)
    )
      breaks.push({ at: place, rule: 'field of the answer may be missing' })
  }
  if (walk.side === 'sent')
    for (const name of newRequired)
      if (!oldRequired.includes(name)) breaks.push({ at: `${at}/${name}`, rule: 'field of the request now required' })
  return breaks
}

/** Each old variant must still have one that takes its place; the faults of the nearest are told where none does. */
function unionBreaks(walk: Walk, before: Json, after: Json, at: string): Break[] {
  return variantsOf(before).flatMap((old) => {
    const isOfType = (now: Json) =>
      typeBreaks(resolved(walk.before, old), resolved(walk.after, now), walk.side, at).length === 0
    const alike = variantsOf(after).filter(isOfType)
    const tries = (alike.length > 0 ? alike : variantsOf(after)).map((now) =>
      schemaBreaks({ ...walk, seen: new Set(walk.seen) }, old, now, at),
    )
    return tries.sort((a, b) => a.length - b.length)[0] ?? []
  })
}

function schemaBreaks(walk: Walk, rawBefore: Json, rawAfter: Json, at: string): Break[] {
  const pair = `${rawBefore.$ref} ${rawAfter.$ref}`
  if (rawBefore.$ref !== undefined && walk.seen.has(pair)) return []
  if (rawBefore.$ref !== undefined) walk.seen.add(pair)
  const [before, after] = [resolved(walk.before, rawBefore), resolved(walk.after, rawAfter)]
  if (isUnion(before) || isUnion(after)) return unionBreaks(walk, before, after, at)
  const typed = typeBreaks(before, after, walk.side, at)
  if (typed.length > 0) return typed
  const breaks = walk.side === 'sent' ? limitBreaks(before, after, at) : []
  breaks.push(...fieldBreaks(walk, before, after, at))
  if (before.items && after.items) breaks.push(...schemaBreaks(walk, before.items, after.items, `${at}/*`))
  return breaks
}

type Content = Record<string, { schema?: Json }>
function contentBreaks(walk: Walk, before: Content = {}, after: Content = {}, at: string): Break[] {
  return Object.entries(before).flatMap(([type, { schema = {} }]) => {
    const now = after[type]
    if (!now) return [{ at: `${at} ${type}`, rule: 'media type removed' }]
    return schemaBreaks(walk, schema, now.schema ?? {}, at)
  })
}

const isOpen = (security: Json[] | undefined) =>
  !security?.length || security.some((need) => Object.keys(need).length === 0)

function operationBreaks(documents: Pick<Walk, 'before' | 'after'>, before: Json, after: Json, at: string): Break[] {
  const sent: Walk = { ...documents, side: 'sent', seen: new Set() }
  const answered: Walk = { ...documents, side: 'answered', seen: new Set() }
  const breaks: Break[] = []
  if (isOpen(before.security) && !isOpen(after.security)) breaks.push({ at, rule: 'a key is needed now' })
  const [old, now]: [Json[], Json[]] = [before.parameters ?? [], after.parameters ?? []]
  for (const parameter of now) {
    const was = old.find(({ name, in: place }) => name === parameter.name && place === parameter.in)
    const place = `${at} ${parameter.in} ${parameter.name}`
    if (was) breaks.push(...schemaBreaks(sent, was.schema, parameter.schema, place))
    if (parameter.required && !was?.required) breaks.push({ at: place, rule: 'parameter now required' })
  }
  for (const { name, in: place } of old)
    if (!now.some((parameter) => parameter.name === name && parameter.in === place))
      breaks.push({ at: `${at} ${place} ${name}`, rule: 'parameter removed' })
  if (after.requestBody?.required && !before.requestBody?.required && !before.requestBody)
    breaks.push({ at, rule: 'a body is needed now' })
  breaks.push(...contentBreaks(sent, before.requestBody?.content, after.requestBody?.content, `${at} request`))
  for (const [status, response] of Object.entries<Json>(before.responses)) {
    if (!status.startsWith('2')) continue
    const same = after.responses[status]
    if (!same) breaks.push({ at: `${at} ${status}`, rule: 'answer removed' })
    else breaks.push(...contentBreaks(answered, response.content, same.content, `${at} ${status}`))
  }
  return breaks
}

/** Every break from one document to another, in the order of the older one, each told once. */
export function breaksBetween(before: Json, after: Json): Break[] {
  const breaks = Object.entries<Json>(before.paths).flatMap(([path, item]) => {
    const now = after.paths[path]
    if (!now) return [{ at: path, rule: 'path removed' }]
    return METHODS.filter((method) => item[method]).flatMap((method) => {
      const at = `${method.toUpperCase()} ${path}`
      return now[method]
        ? operationBreaks({ before, after }, item[method], now[method], at)
        : [{ at, rule: 'operation removed' }]
    })
  })
  return [...new Map(breaks.map((found) => [`${found.at} ${found.rule}`, found])).values()]
}
