import type { Rule } from './rule.ts'

/** Bands ascend, all but the last end somewhere, exactly one is healthy, and each side in use has bands. */
export const bandsAscend: Rule = (ontology) =>
  ontology.reading.flatMap((reading) => {
    const edges = reading.bands.slice(0, -1).map((band) => band.upTo?.value)
    const healthy = reading.bands.findIndex((band) => band.healthy)
    const faults: string[] = []
    if (edges.some((edge, index) => edge === undefined || (index > 0 && edge <= edges[index - 1]!)))
      faults.push('edges do not ascend')
    if (reading.bands.at(-1)?.upTo) faults.push('the last band has an end')
    if (reading.bands.filter((band) => band.healthy).length !== 1) faults.push('not exactly one band is healthy')
    if (healthy > 0 !== (reading.low !== undefined))
      faults.push('bands under the healthy one and side low must go together')
    if (healthy < reading.bands.length - 1 !== (reading.high !== undefined))
      faults.push('bands over the healthy one and side high must go together')
    return faults.map((message) => ({
      rule: 'bands-ascend',
      id: reading.id,
      message,
      remedy: 'Correct the bands of this reading',
    }))
  })
