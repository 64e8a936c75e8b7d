import { describe, expect, test } from 'vitest'
import { compileOntology } from '../../src/ontology/compile.ts'
import { diffOntologies } from '../../src/ontology/diff.ts'
import { conceptTriples } from '../../src/ontology/formats/concept-triples.ts'
import { toJsonLd } from '../../src/ontology/formats/json-ld.ts'
import { readSource } from '../../src/ontology/read-source.ts'
import { ontologyFaults } from '../../src/ontology/rules/index.ts'
import { CheckSchema, ConditionSchema, type Ontology } from '../../src/ontology/shape.ts'

const source = readSource('ontology/source')
const named = <T extends { id: string }>(list: T[], id: string): T => list.find((item) => item.id === id)!

/** The source with a change, and what the rule says of it. */
function faults(rule: string, change: (ontology: Ontology) => void): string[] {
  const ontology = structuredClone(source)
  change(ontology)
  return ontologyFaults(ontology)
    .filter((fault) => fault.rule === rule)
    .map(({ id, message }) => `${id} ${message}`)
}
const context = (o: Ontology, name: string) => named(o.context, `context/${name}`)
const STORM = 'context/storm-recent'

describe('what follows', () => {
  test('must not say of one circumstance both that it holds and that it does not', () => {
    const found = faults('follows-agree', (o) =>
      Object.assign(named(o.condition, 'condition/battery-low'), { implies: [STORM], rulesOut: [STORM] }),
    )
    expect(found).toEqual([`condition/battery-low says of ${STORM} that it holds and that it does not`])
  })

  test('must not contradict itself through another circumstance', () => {
    const found = faults('follows-agree', (o) => {
      context(o, 'damp').implies = ['context/heat']
      context(o, 'heat').rulesOut = [STORM]
      named(o.check, 'check/ask-recent-storm').results[1]!.implies = ['context/damp']
    })
    expect(found).toContain(
      `check/ask-recent-storm result ${named(source.check, 'check/ask-recent-storm').results[1]!.id} says of ${STORM} that it holds and that it does not`,
    )
  })

  test('must not set two circumstances that exclude each other', () => {
    const found = faults('follows-agree', (o) => {
      named(o.check, 'check/ask-power-feed').results[0]!.implies = ['context/power-feed-fixed']
    })
    expect(found.join()).toContain('context/power-feed-plug and context/power-feed-fixed that both hold')
  })

  test('must not go in a circle', () => {
    const found = faults('follows-agree', (o) => {
      context(o, 'damp').implies = ['context/heat']
      context(o, 'heat').implies = ['context/damp']
    })
    expect(found).toEqual(['context/damp implies itself in a circle', 'context/heat implies itself in a circle'])
  })

  test('must name circumstances that exist', () => {
    const found = faults('references-resolve', (o) => {
      context(o, 'damp').implies = ['context/nowhere']
    })
    expect(found).toEqual(['context/damp names context/nowhere, which does not exist'])
  })
})

describe('a circumstance of a device', () => {
  test('must not act on a cause of the system, nor be set, implied or hung on without a device', () => {
    const found = faults('contexts-keep-scope', (o) => {
      context(o, 'height-over-2m').scope = 'device'
      context(o, 'heat').scope = 'device'
      named(o.condition, 'condition/battery-low').implies = ['context/heat']
    }).join('\n')
    expect(found).toMatch(/^check\/ask-working-height is put for the system and sets context\/height-over-2m/m)
    expect(found).toMatch(/^condition\/battery-low is of the system and tells of context\/heat/m)
    expect(found).toMatch(/^context\/heat is one of a device and shifts cause\/[a-z-]+, a cause of the system/m)
    expect(found).toMatch(/^hazard\/[a-z-]+ hangs on context\/height-over-2m of a device/m)
  })

  test('must not share a dimension with one of the system', () => {
    const found = faults('contexts-keep-scope', (o) => {
      context(o, 'panel-separate-box').scope = 'device'
    })
    expect(found.join('\n')).toMatch(/has another scope than context\/panel-[a-z-]+ of its dimension/)
  })
})

describe('a step', () => {
  const gate = { check: 'check/lid-closed', result: 'crooked' }

  test('must not need what notWith keeps it from', () => {
    const found = faults('steps-go-together', (o) =>
      Object.assign(named(o.remedy, 'remedy/close-box-lid'), { requires: [], requiresAny: [gate], notWith: [gate] }),
    )
    expect(found).toEqual(['remedy/close-box-lid needs what notWith keeps it from'])
  })

  test('that looks for a danger is always put', () => {
    const found = faults('steps-go-together', (o) => {
      named(o.check, 'check/danger-water').notWith = ['context/damp']
    })
    expect(found).toEqual(['check/danger-water looks for a danger and has notWith'])
  })

  test('must not require its own answer in a circle', () => {
    const found = faults('steps-go-together', (o) => {
      named(o.check, 'check/lid-closed').requires = [gate]
    })
    expect(found).toEqual(['check/lid-closed requires its own answer in a circle'])
  })
})

/** A copy in which one thing of each kind has what is new. */
function extended(): Ontology {
  const ontology = structuredClone(source)
  Object.assign(named(ontology.condition, 'condition/battery-low'), { implies: [STORM], rulesOut: ['context/damp'] })
  Object.assign(context(ontology, 'heat'), { implies: [STORM] })
  named(ontology.check, 'check/lid-closed').results[0]!.rulesOut = [STORM]
  Object.assign(named(ontology.remedy, 'remedy/close-box-lid'), {
    requiresAny: [{ check: 'check/lid-closed', result: 'crooked' }],
    notWith: [
      STORM,
      'condition/battery-low',
      'remedy/replace-sounder',
      { check: 'check/lid-closed', result: 'square' },
    ],
    onlyWith: ['condition/panel-enclosure-tamper'],
  })
  return ontology
}

test('what follows and what goes together is compiled by index, and left out where nothing is said', () => {
  const release = compileOntology(extended(), '9.9.9')
  const at = (kind: 'contexts' | 'conditions' | 'checks', id: string) => release[kind].findIndex((one) => one.id === id)
  const storm = at('contexts', STORM)
  const low = release.conditions[at('conditions', 'condition/battery-low')]!
  expect([low.implies, low.rulesOut]).toEqual([[storm], [at('contexts', 'context/damp')]])
  expect(release.contexts[at('contexts', 'context/heat')]!.implies).toEqual([storm])
  const lid = at('checks', 'check/lid-closed')
  const [first] = release.checks[lid]!.results
  expect(release.checks[lid]!.follows).toEqual({ [first!]: { rulesOut: [storm] } })
  const close = release.remedies.find(({ id }) => id === 'remedy/close-box-lid')!
  expect(close.requiresAny).toEqual([{ check: lid, result: 'crooked' }])
  expect(close.notWith).toEqual({
    contexts: [storm],
    conditions: [at('conditions', 'condition/battery-low')],
    remedies: [release.remedies.findIndex(({ id }) => id === 'remedy/replace-sounder')],
    answers: [{ check: lid, result: 'square' }],
  })
  expect(close.onlyWith).toEqual([at('conditions', 'condition/panel-enclosure-tamper')])
  expect(Object.keys(release.conditions[at('conditions', 'condition/battery-missing')]!)).not.toContain('implies')
})

test('the linked-data forms say what follows and what goes together', () => {
  const ontology = extended()
  const remedy = named(ontology.remedy, 'remedy/close-box-lid')
  const { graph } = toJsonLd(conceptTriples(ontology, { kind: 'remedy', concept: remedy }, [])) as {
    graph: Record<string, unknown>[]
  }
  const iri = (id: string) => expect.stringMatching(new RegExp(`/${id}$`))
  expect(graph[0]).toMatchObject({
    onlyWith: iri('condition/panel-enclosure-tamper'),
    notWith: [iri(STORM), iri('condition/battery-low'), iri('remedy/replace-sounder'), iri('close-box-lid#notWith-1')],
    requiresAny: iri('close-box-lid#requiresAny-1'),
  })
  expect(graph).toContainEqual({ id: iri('close-box-lid#notWith-1'), check: iri('check/lid-closed'), name: 'square' })
  const condition = named(ontology.condition, 'condition/battery-low')
  const said = toJsonLd(conceptTriples(ontology, { kind: 'condition', concept: condition }, [])) as typeof remedy & {
    graph: Record<string, unknown>[]
  }
  expect(said.graph[0]).toMatchObject({ implies: iri(STORM), rulesOut: iri('context/damp') })
})

test('that something follows is a change of numbers, also for a result, and a new scope a break', () => {
  const changed = extended()
  context(changed, 'damp').scope = 'device'
  const classes = Object.fromEntries(diffOntologies(source, changed).map((change) => [change.id, change.class]))
  expect(classes).toEqual({
    'check/lid-closed': 'numeric',
    'condition/battery-low': 'numeric',
    'context/damp': 'breaking',
    'context/heat': 'numeric',
    'remedy/close-box-lid': 'numeric',
  })
})

test('an empty list is refused, and what is no context', () => {
  const condition = named(source.condition, 'condition/battery-low')
  expect(ConditionSchema.safeParse({ ...condition, implies: [] }).success).toBe(false)
  expect(ConditionSchema.safeParse({ ...condition, rulesOut: ['condition/mains-missing'] }).success).toBe(false)
  const check = named(source.check, 'check/lid-closed')
  expect(CheckSchema.safeParse({ ...check, notWith: ['cause/battery-absent'] }).success).toBe(false)
})

describe('what an answer clears', () => {
  const clear = (check: string, condition: string) => (o: Ontology) => {
    named(o.check, check).results[0]!.clears = [condition]
  }

  test('must be no threat to life, by its loss or by a danger that it brings', () => {
    expect(faults('clears-are-sound', clear('check/fire-reset-helps', 'condition/fire-loop-trouble'))).toEqual([
      'check/fire-reset-helps result yes clears condition/fire-loop-trouble, which threatens life',
    ])
    const dangerous = faults('clears-are-sound', (o) => {
      named(o.condition, 'condition/radio-repeater-fault').implies = ['context/water-at-equipment']
    })
    expect(dangerous).toEqual([
      'check/repeater-stays-a-day result gone clears condition/radio-repeater-fault, which threatens life',
    ])
  })

  test('must be what its question is about, put for a device where it is one of a device', () => {
    const found = faults('clears-are-sound', clear('check/self-test-again', 'condition/zone-not-ready'))
    expect(found).toEqual([
      'check/self-test-again result yes clears condition/zone-not-ready, which its check is not about',
      'check/self-test-again result yes clears condition/zone-not-ready, of a device without asking for one',
    ])
  })

  test('must not be told by the question of a danger, or by a result that is one', () => {
    const found = faults('clears-are-sound', (o) => {
      clear('check/danger-hot-plug', 'condition/mains-missing')(o)
      named(o.check, 'check/self-test-again').results.find(({ id }) => id === 'no')!.danger = 'hazard/fire-or-smoke'
    })
    expect(found.sort()).toEqual([
      'check/danger-hot-plug result hot clears condition/mains-missing, although it asks for a danger',
      'check/self-test-again result no clears condition/self-test-failed, although it asks for a danger',
    ])
  })

  test('must exist', () => {
    expect(faults('references-resolve', clear('check/self-test-again', 'condition/nowhere'))).toEqual([
      'check/self-test-again names condition/nowhere, which does not exist',
    ])
  })

  test('is compiled by result, told in the linked forms, and moves answers where it changes', () => {
    const compiled = compileOntology(source, 'next')
    const check = compiled.checks.find(({ id }) => id === 'check/repeater-stays-a-day')!
    const repeater = compiled.conditions.findIndex(({ id }) => id === 'condition/radio-repeater-fault')
    expect(check.clears).toEqual({ gone: [repeater] })
    const concept = named(source.check, 'check/repeater-stays-a-day')
    const triples = conceptTriples(source, { kind: 'check', concept }, [])
    expect(JSON.stringify(triples)).toContain('clearsCondition')
    const before = structuredClone(source)
    for (const result of named(before.check, concept.id).results) delete result.clears
    const [change] = diffOntologies(before, source)
    expect(change).toMatchObject({ id: concept.id, class: 'numeric' })
    expect(diffOntologies(source, before)[0]).toMatchObject({ id: concept.id, class: 'numeric' })
  })
})
