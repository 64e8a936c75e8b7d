import { describe, expect, test } from 'vitest'
import { type ConceptChange, diffOntologies } from '../../src/ontology/diff.ts'
import { readSource } from '../../src/ontology/read-source.ts'
import type { Ontology } from '../../src/ontology/shape.ts'
import { nextVersion, refusedStep, requiredStep } from '../../src/ontology/version-guard.ts'

const source = readSource('ontology/source')
const BATTERY = 'condition/battery-low'
const WORN = 'cause/battery-worn-out'

function changesAfter(change: (ontology: Ontology) => void): ConceptChange[] {
  const ontology = structuredClone(source)
  change(ontology)
  return diffOntologies(source, ontology)
}
const condition = (ontology: Ontology) => ontology.condition.find(({ id }) => id === BATTERY)!
const cause = (ontology: Ontology) => ontology.cause.find(({ id }) => id === WORN)!

test('an edition does not differ from itself, in whatever order its lists are', () => {
  expect(changesAfter(() => {})).toEqual([])
  expect(changesAfter((o) => cause(o).shows.reverse())).toEqual([])
})

describe('a change is classed by what it does to those who rely on the ontology', () => {
  test.each<[string, ConceptChange['class'], string, (ontology: Ontology) => void]>([
    ['another label', 'editorial', BATTERY, (o) => (condition(o).label['en-US'] = 'Battery weak')],
    ['one more alternative label', 'editorial', BATTERY, (o) => condition(o).altLabels.push('flat battery')],
    ['another base rate', 'numeric', WORN, (o) => (cause(o).baseRate = { value: 0.02, basis: 'judgement' })],
    [
      'one more condition shown',
      'numeric',
      WORN,
      (o) => cause(o).shows.push({ condition: 'condition/clock-not-set', q: { value: 0.1, basis: 'judgement' } }),
    ],
    ['another nature', 'breaking', BATTERY, (o) => (condition(o).nature = 'state')],
    ['another scope', 'breaking', BATTERY, (o) => (condition(o).scope = 'device')],
    [
      'a result fewer',
      'breaking',
      'check/ask-power-feed',
      (o) => o.check.find(({ id }) => id === 'check/ask-power-feed')!.results.pop(),
    ],
    [
      'a result more',
      'compatible',
      'check/ask-power-feed',
      (o) =>
        o.check
          .find(({ id }) => id === 'check/ask-power-feed')!
          .results.push({ id: 'solar', label: { 'en-US': 'Sun' } }),
    ],
    [
      'a part attribute more',
      'compatible',
      'part-class/vrla-battery-12v',
      (o) => {
        const attributes = o['part-class'].find(({ id }) => id === 'part-class/vrla-battery-12v')!.attributes
        attributes.push({ ...attributes[0]!, name: 'handleKind' })
      },
    ],
  ])('%s is %s', (_, expected, id, how) => {
    expect(changesAfter(how).map((change) => [change.id, change.change, change.class])).toEqual([
      [id, 'changed', expected],
    ])
  })

  test('a concept more is compatible, one gone is breaking', () => {
    const more = changesAfter((o) => o.hazard.push({ ...o.hazard[0]!, id: 'hazard/falling-plaster' }))
    expect(more.map(({ id, change, class: kind }) => [id, change, kind])).toEqual([
      ['hazard/falling-plaster', 'added', 'compatible'],
    ])
    const gone = changesAfter((o) => o.hazard.shift())
    expect(gone.map(({ id, change, class: kind }) => [id, change, kind])).toEqual([
      [source.hazard[0]!.id, 'removed', 'breaking'],
    ])
  })

  test('a deprecation is compatible and called by its name', () => {
    const changes = changesAfter((o) => {
      cause(o).status = 'deprecated'
      cause(o).deprecated = { since: '9.9.9', reason: 'split in two', replacedBy: ['cause/battery-cell-shorted'] }
    })
    expect(changes).toMatchObject([{ id: WORN, change: 'deprecated', class: 'compatible' }])
  })

  test('another label and another number together are numeric, each field named with its class', () => {
    const [change] = changesAfter((o) => {
      cause(o).label['en-US'] = 'Worn'
      cause(o).baseRate = { ...cause(o).baseRate, value: 0.5 }
    })
    expect(change!.class).toBe('numeric')
    expect(change!.fields.map(({ path, class: kind }) => [path, kind])).toEqual(
      expect.arrayContaining([
        ['/label/en-US', 'editorial'],
        ['/baseRate/value', 'numeric'],
      ]),
    )
  })
})

describe('the version guard', () => {
  const change = (kind: ConceptChange['class']): ConceptChange[] => [
    { id: BATTERY, kind: 'condition', change: 'changed', class: kind, fields: [] },
  ]

  test.each([
    ['0.4.2', 'breaking', 'minor'],
    ['1.4.2', 'breaking', 'major'],
    ['1.4.2', 'numeric', 'minor'],
    ['1.4.2', 'compatible', 'minor'],
    ['1.4.2', 'editorial', 'patch'],
  ] as const)('after %s a %s change asks for a %s step', (from, kind, step) => {
    expect(requiredStep(from, change(kind))).toBe(step)
    expect(refusedStep(from, nextVersion(from, step), change(kind))).toBeUndefined()
  })

  test.each([
    ['1.4.2', '1.4.3', 'breaking'],
    ['1.4.2', '1.5.0', 'breaking'],
    ['1.4.2', '1.4.3', 'numeric'],
    ['1.4.2', '1.6.0', 'compatible'],
    ['1.4.2', '2.0.0', 'editorial'],
    ['1.4.2', '1.4.2', 'editorial'],
    ['1.4.2', '1.3.0', 'numeric'],
  ] as const)('from %s it refuses %s for a %s change and names the concept', (from, to, kind) => {
    expect(refusedStep(from, to, change(kind))).toContain(BATTERY)
  })

  test('refuses to release what did not change', () => {
    expect(refusedStep('1.0.0', '1.0.1', [])).toContain('nothing changed')
  })
})
