import { Ajv2020 } from 'ajv/dist/2020.js'
import { describe, expect, test } from 'vitest'
import { compileOntology } from '../../src/ontology/compile.ts'
import { OverlaySchema, overlayFaults, overlayJsonSchema, withOverlay } from '../../src/ontology/overlay.ts'
import { readSource } from '../../src/ontology/read-source.ts'
import { solarOverlay } from '../support/overlay.ts'

const base = readSource('ontology/source')
type Change = (overlay: ReturnType<typeof solarOverlay> & Record<string, any>) => void

function faultsAfter(change: Change) {
  const overlay = solarOverlay()
  change(overlay)
  return overlayFaults(base, OverlaySchema.parse(overlay))
}

test('a sound overlay breaks no rule', () => {
  expect(faultsAfter(() => {})).toEqual([])
})

test('its JSON Schema, read by an independent validator, accepts what the service accepts', () => {
  const accepts = new Ajv2020({ strict: false }).compile(overlayJsonSchema())
  expect([accepts(solarOverlay()), accepts.errors]).toEqual([true, null])
  expect(accepts({ ...solarOverlay(), overlay: 'Sun Field' })).toBe(false)
})

test('it adds its concepts and leaves every released number as it was', () => {
  const merged = withOverlay(base, OverlaySchema.parse(solarOverlay()))
  expect(merged.cause).toHaveLength(base.cause.length + 1)
  for (const cause of base.cause) {
    const now = merged.cause.find(({ id }) => id === cause.id)!
    expect(now.baseRate).toEqual(cause.baseRate)
    expect(now.shows.slice(0, cause.shows.length)).toEqual(cause.shows)
  }
  const release = compileOntology(merged, 'merged')
  expect(release.conditions.map(({ id }) => id)).toContain('condition/sunfield~panel-dark')
})

test('it may say what follows from its own concepts, and what its own steps go with', () => {
  const overlay = solarOverlay() as ReturnType<typeof solarOverlay> & Record<string, any>
  Object.assign(overlay.conditions![0]!, { implies: ['context/panel-separate-box'], rulesOut: ['context/damp'] })
  Object.assign(overlay.checks![0]!, { notWith: ['context/caller-remote', 'condition/system-shut-down'] })
  const parsed = OverlaySchema.parse(overlay)
  expect(overlayFaults(base, parsed)).toEqual([])
  const { conditions, contexts, checks } = compileOntology(withOverlay(base, parsed), 'merged')
  const { implies } = conditions.find(({ id }) => id === 'condition/sunfield~panel-dark')!
  expect(implies!.map((context) => contexts[context]!.id)).toEqual(['context/panel-separate-box'])
  expect(checks.find(({ id }) => id === 'check/sunfield~see-panel')!.notWith!.conditions).toHaveLength(1)
})

describe('an overlay is refused, with the place and the remedy, when it', () => {
  test.each<[string, string, string, Change]>([
    ['uses a released id', 'overlay-stays-apart', '/causes/0/id', (o) => (o.causes![0]!.id = 'cause/battery-worn-out')],
    ['uses the prefix of another', 'overlay-stays-apart', '/causes/0/id', (o) => (o.causes![0]!.id = 'cause/rival~x')],
    [
      'links a released cause to a released condition',
      'overlay-stays-apart',
      '/links/0',
      (o) => {
        o.links![0]!.condition = 'condition/battery-low'
      },
    ],
    [
      'names a released concept that does not exist',
      'overlay-stays-apart',
      '/labels/0/id',
      (o) => {
        o.labels![0]!.id = 'condition/nowhere'
      },
    ],
    [
      'says of a circumstance both that it holds and that it does not',
      'follows-agree',
      '/conditions/0',
      (o) => Object.assign(o.conditions![0]!, { implies: ['context/damp'], rulesOut: ['context/damp'] }),
    ],
    [
      'joins a dimension in which no share is left',
      'shares-fit',
      '/contexts/0',
      (o) =>
        (o.contexts = [
          {
            id: 'context/sunfield~fed-by-sun',
            label: { 'en-US': 'Fed by the sun' },
            lay: { 'en-US': 'The sun panel alone feeds it' },
            definition: { 'en-US': 'No other supply is there.' },
            dimension: 'power-feed',
            share: { value: 0.1, basis: 'judgement' },
          },
        ]),
    ],
    ['leaves a cause without remedy', 'causes-have-remedy', '/causes/0', (o) => (o.remedies = [])],
    [
      'links a check to nothing',
      'references-resolve',
      '/checks/0',
      (o) => {
        Object.assign(o.checks![0]!.model, {
          links: [{ cause: 'cause/nowhere', q: { value: 0.5, basis: 'judgement' } }],
        })
      },
    ],
    ['gives no lay label', 'labels-are-plain', '/conditions/0', (o) => delete o.conditions![0]!.lay],
  ])('%s', (_, rule, path, change) => {
    const faults = faultsAfter(change)
    expect(faults.map((fault) => [fault.rule, fault.path])).toContainEqual([rule, path])
    expect(faults.every(({ remedy }) => remedy.length > 10)).toBe(true)
  })
})
