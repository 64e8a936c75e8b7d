/** A pattern that matches at a place wherever one of several may: asked first, it spares asking each of them. */
export const anyOf = (patterns: readonly RegExp[]): RegExp =>
  new RegExp(patterns.map(({ source }) => `(?:${source})`).join('|'), 'iy')

/** Asks the rule only where its gate opens. */
export const opens = (gate: RegExp, text: string, at: number): boolean => {
  gate.lastIndex = at
  return gate.test(text)
}
