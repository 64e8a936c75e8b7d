import type { Replacements } from '../../domain/learning/carry-over.ts'
import type { PublishedCause } from '../../domain/learning/learn.ts'
import type { CauseFacts, LearningFacts } from '../../domain/learning/outcome.ts'
import type { Release } from '../../ontology/release.ts'

/** What learning takes from a release, made once for each. */
export interface ReleaseFacts {
  facts: LearningFacts
  published: PublishedCause[]
  replacements: Replacements
  perDevice: string[]
}

const kept = new WeakMap<Release, ReleaseFacts>()

export function factsOf(release: Release): ReleaseFacts {
  const known = kept.get(release)
  if (known) return known
  const made = readFacts(release)
  kept.set(release, made)
  return made
}

function readFacts({ compiled, ontology }: Release): ReleaseFacts {
  const published = compiled.causes.map(({ id, prior, isPerDevice, group }) => ({
    id,
    prior,
    isPerDevice,
    ...(group === undefined ? {} : { group }),
  }))
  const remediesOf = compiled.causes.map(() => new Set<string>())
  for (const { id, fixes } of compiled.remedies) for (const { cause } of fixes) remediesOf[cause]!.add(id)
  const causes = published.map(({ id, prior: _, ...rest }, at): [string, CauseFacts] => [
    id,
    { ...rest, remedies: remediesOf[at]! },
  ])
  return {
    facts: { causes: new Map(causes), remedies: new Set(compiled.remedies.map(({ id }) => id)) },
    published,
    replacements: new Map(
      ontology.cause.flatMap(({ id, deprecated }) => (deprecated ? [[id, deprecated.replacedBy] as const] : [])),
    ),
    perDevice: published.filter(({ isPerDevice }) => isPerDevice).map(({ id }) => id),
  }
}
