import { allConcepts } from '../concepts.ts'
import type { Rule } from './rule.ts'

interface Scale {
  where: string
  levels: number
  rows: { who: string; values: number[] }[]
}
type Side = { leak: { values: number[] }; links: { cause: string; distribution: { values: number[] } }[] }

const scaleOf = (where: string, levels: number, side: Side): Scale => ({
  where,
  levels,
  rows: [
    { who: 'leak', values: side.leak.values },
    ...side.links.map((link) => ({ who: link.cause, values: link.distribution.values })),
  ],
})

/** Every distribution has one number a level and sums to one. */
export const distributionsFit: Rule = (ontology) => {
  const scales: (Scale & { id: string })[] = []
  for (const { concept } of allConcepts(ontology)) {
    if ('model' in concept && concept.model.kind === 'ordered')
      scales.push({ id: concept.id, ...scaleOf('order', concept.model.order.length, concept.model) })
    if ('bands' in concept) {
      const healthy = concept.bands.findIndex((band) => band.healthy)
      if (concept.low) scales.push({ id: concept.id, ...scaleOf('low', healthy + 1, concept.low) })
      if (concept.high)
        scales.push({ id: concept.id, ...scaleOf('high', concept.bands.length - healthy, concept.high) })
    }
  }
  return scales.flatMap((scale) =>
    scale.rows
      .filter(
        ({ values }) =>
          values.length !== scale.levels || Math.abs(values.reduce((sum, value) => sum + value, 0) - 1) > 1e-9,
      )
      .map(({ who, values }) => ({
        rule: 'distributions-fit',
        id: scale.id,
        message: `${scale.where}, ${who}: [${values.join(', ')}] must have ${scale.levels} numbers that sum to 1`,
        remedy: 'Give one number a level, healthy first',
      })),
  )
}
