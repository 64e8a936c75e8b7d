/** A network of yes-no variables with a table each, parents named before their children. */
export type GeneralNetwork = Record<string, { parents: readonly string[]; table: readonly number[] }>
export type Configuration = Record<string, boolean>

/** Every configuration with its joint probability; tables run over the parents in binary, the first parent highest. */
export function configurations(network: GeneralNetwork): { values: Configuration; probability: number }[] {
  let all: { values: Configuration; probability: number }[] = [{ values: {}, probability: 1 }]
  for (const [name, { parents, table }] of Object.entries(network))
    all = all.flatMap(({ values, probability }) => {
      const row = parents.reduce((index, parent) => 2 * index + Number(values[parent]), 0)
      return [true, false].map((value) => ({
        values: { ...values, [name]: value },
        probability: probability * (value ? table[row]! : 1 - table[row]!),
      }))
    })
  return all
}

/** P(query is true | evidence). */
export function conditional(network: GeneralNetwork, query: string, evidence: Configuration): number {
  const fitting = configurations(network).filter(({ values }) =>
    Object.entries(evidence).every(([name, value]) => values[name] === value),
  )
  const sum = (list: typeof fitting) => list.reduce((total, { probability }) => total + probability, 0)
  return sum(fitting.filter(({ values }) => values[query])) / sum(fitting)
}
