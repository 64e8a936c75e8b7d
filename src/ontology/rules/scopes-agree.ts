import type { Rule } from './rule.ts'

/** A check that takes a reading is put for a device exactly when the reading is one of a device. */
export const scopesAgree: Rule = ({ check, reading }) => {
  const scopeOf = new Map(reading.map(({ id, scope }) => [id, scope]))
  return check.flatMap(({ id, scope, model }) => {
    if (model.kind !== 'reading' || scopeOf.get(model.reading) === undefined) return []
    if (scopeOf.get(model.reading) === scope) return []
    const message = `has scope ${scope}, its reading ${model.reading} has ${scopeOf.get(model.reading)}`
    return [{ rule: 'scopes-agree', id, message, remedy: 'Give check and reading the same scope' }]
  })
}
