import { linkOf } from '../numbers.ts'
import type { Ontology } from '../shape.ts'

/** A result speaks clearly for a cause when it is at least this many times as likely with it as without. */
const CLEAR = 3

/** Named causes that no result of any check or reading speaks clearly for: nobody can confirm them on a call. */
export function unconfirmable({ cause, check, reading, levels }: Ontology): string[] {
  const confirmed = new Set<string>()
  for (const { model } of check) {
    if (model.kind !== 'yes-no') continue
    const leak = linkOf(levels, model.leak) ?? 0
    for (const { cause: id, q } of model.links)
      if (1 - (1 - leak) * (1 - (linkOf(levels, q) ?? 0)) >= CLEAR * leak) confirmed.add(id)
  }
  const graded = check.flatMap(({ model }) => (model.kind === 'ordered' ? [model] : []))
  const sides = reading.flatMap(({ low, high }) => [low, high].flatMap((side) => side ?? []))
  for (const { leak, links } of [...graded, ...sides])
    for (const { cause: id, distribution } of links)
      if (distribution.values.some((value, level) => level > 0 && value >= CLEAR * leak.values[level]!))
        confirmed.add(id)
  return cause.filter(({ id, other }) => !other && !confirmed.has(id)).map(({ id }) => id)
}
