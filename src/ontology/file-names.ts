import type { Kind } from './shape.ts'

/** File that a kind is kept in, by its plural: "part-class" in part-classes.json, "cause" in causes.json. */
export function fileOf(kind: Kind): string {
  if (kind === 'part-class') return 'part-classes.json'
  if (kind === 'family') return 'families.json'
  return kind === 'remedy' ? 'remedies.json' : `${kind}s.json`
}
