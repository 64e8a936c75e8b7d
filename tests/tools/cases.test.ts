import { expect, test } from 'vitest'
import { compileOntology } from '../../src/ontology/compile.ts'
import { readSource } from '../../src/ontology/read-source.ts'
import { caseFaults, readCases } from '../../src/tools/cases/case.ts'
import { drawsFrom } from '../../src/tools/cases/draws.ts'
import { play } from '../../src/tools/cases/play.ts'
import { POLICIES } from '../../src/tools/cases/policies.ts'

const [tuned, heldOut] = [readCases('tuned'), readCases('heldOut')]
const cases = [...tuned, ...heldOut]
const ontology = readSource('ontology/source')
const stage = { release: compileOntology(ontology, 'next'), steps: ontology.prologue }
const played = (list: typeof cases) => list.map((one) => play(stage, one, POLICIES.engine!, drawsFrom(1)))

test('the written calls are those that were set down before anything was tuned to them, enough of them held out', () => {
  expect(tuned.length).toBeGreaterThanOrEqual(150)
  expect(heldOut.length).toBeGreaterThanOrEqual(100)
})

test('every id and every result of a call is known to the ontology', () => {
  expect(caseFaults(stage.release, cases)).toEqual([])
})

test('a call with an unknown result is named', () => {
  const broken = { ...cases[0]!, knows: { 'check/ask-on-test': 'perhaps' } }
  expect(caseFaults(stage.release, [broken])).toEqual([`${broken.id}: check/ask-on-test has no result perhaps`])
})

test('every call with a danger sign ends there, with nothing else offered', () => {
  const dangers = played(cases.filter(({ kind }) => kind === 'danger'))
  expect(dangers.length).toBeGreaterThanOrEqual(15)
  for (const { one, advices } of dangers) {
    const { stop, searched, plan } = advices.at(-1)!
    expect([stop, searched.checks, plan], one.id).toEqual(['danger', [], []])
  }
})

test('no step that must not be offered is offered in any sixth call', () => {
  expect(played(cases.filter((_, index) => index % 6 === 0)).flatMap(({ unsafe }) => unsafe)).toEqual([])
})
