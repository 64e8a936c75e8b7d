import { describe, expect, test } from 'vitest'
import { compileOntology } from '../../src/ontology/compile.ts'
import { readSource } from '../../src/ontology/read-source.ts'

const source = readSource('ontology/source')
const release = compileOntology(source, '9.9.9')
const named = (id: string) => release.checks.find((check) => check.id === id)!
const conditions = (about: readonly number[] | undefined) => about?.map((index) => release.conditions[index]!.id)

describe('a compiled check', () => {
  test('is about the conditions that it names and those of the families that it names', () => {
    const { about } = source.check.find(({ id }) => id === 'check/bus-cable-look')!
    expect(about).toContain('family/bus-and-module')
    const compiled = conditions(named('check/bus-cable-look').about)!
    expect(compiled).toContain('condition/bus-open')
    expect(compiled).toContain('condition/ground-fault')
    expect(compiled).not.toContain('condition/zone-not-ready')
  })

  test('is about anything where it names nothing', () => {
    expect(named('check/ask-recent-storm').about).toBeUndefined()
  })

  test('is about nothing once it is deprecated, and keeps what its answers say', () => {
    const deprecated = source.check.filter(({ status }) => status === 'deprecated')
    expect(deprecated.map(({ id }) => id)).toContain('check/ask-odd-since-thunder')
    for (const { id } of deprecated) {
      expect(named(id).about, id).toEqual([])
      expect(named(id).model.kind, id).toBe('observation')
    }
  })
})

test('no live check, remedy, gate or step of the prologue leads to a deprecated check', () => {
  const gone = new Set(source.check.filter(({ status }) => status === 'deprecated').map(({ id }) => id))
  const led = [
    ...source.check.filter(({ status }) => status !== 'deprecated').flatMap(({ requires }) => requires),
    ...source.remedy.flatMap(({ requires }) => requires),
  ].map(({ check }) => check)
  const asked = [...source.gates.map(({ ask }) => ask), ...source.prologue.flatMap(({ checks }) => checks)]
  expect([...led, ...asked].filter((id) => gone.has(id))).toEqual([])
})
