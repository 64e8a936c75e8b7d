import { KINDS } from './shape.ts'

const ID = new RegExp(`^(?:${KINDS.join('|')})/[a-z0-9~-]+$`)

/** Ids of other concepts that a record names anywhere in it, its own id left out, in order of first mention. */
export function linkedIds(record: { id: string }): string[] {
  const found = new Set<string>()
  const visit = (value: unknown): void => {
    if (typeof value === 'string' && ID.test(value)) found.add(value)
    else if (Array.isArray(value)) value.forEach(visit)
    else if (value !== null && typeof value === 'object') Object.values(value).forEach(visit)
  }
  visit(record)
  found.delete(record.id)
  return [...found]
}
