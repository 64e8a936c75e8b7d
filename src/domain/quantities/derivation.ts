/** One line of a derivation that can be checked with a pencil. */
export interface Step {
  formula: string
  /** The formula with the values put in, each with its unit. */
  substituted: string
  value: number
  unit: string
  /** Where the formula or its factor comes from, with its certainty: read, reported, memory, judgement. */
  source: string
}

/** What a careful technician would remark: it never stops the answer. */
export interface Warning {
  code: string
  message: string
}

/** A number as a person writes it: at most six significant digits. */
export const written = (value: number) => String(Number(value.toPrecision(6)))

/** The warnings whose condition holds, in the order given. */
export function warningsWhere(rules: readonly (readonly [holds: boolean, code: string, message: string])[]): Warning[] {
  return rules.filter(([holds]) => holds).map(([, code, message]) => ({ code, message }))
}
