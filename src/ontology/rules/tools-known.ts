import { isOfOverlay, type Rule } from './rule.ts'

/** A tool that a check or remedy needs is in tools.json; an overlay may name tools of its own. */
export const toolsKnown: Rule = ({ tools, check, remedy }) => {
  if (tools === undefined) return []
  const known = new Set(tools.map(({ id }) => id))
  return [...check, ...remedy]
    .filter((step) => !isOfOverlay(step))
    .flatMap(({ id, tools: needed }) =>
      needed
        .filter((tool) => !known.has(tool))
        .map((tool) => ({
          rule: 'tools-known',
          id,
          message: `needs the tool ${tool}, which tools.json does not have`,
          remedy: 'Use a tool of tools.json or add it there, with whether nearly everybody has it',
        })),
    )
}
