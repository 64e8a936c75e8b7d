import { describe, expect, test } from 'vitest'
import { readSource } from '../../src/ontology/read-source.ts'
import { ontologyFaults, RULES } from '../../src/ontology/rules/index.ts'
import type { Ontology } from '../../src/ontology/shape.ts'

const source = readSource('ontology/source')
const copy = () => structuredClone(source)
type Break = (ontology: Ontology) => void

const named = <T extends { id: string }>(list: T[], id: string): T => {
  const found = list.find((item) => item.id === id)
  if (!found) throw new Error(`${id} is not in the source`)
  return found
}

/** One way to break each rule, and the id that the complaint must name. */
const BROKEN: Record<string, { id: string; how: Break }> = {
  'ids-unique': { id: 'cause/battery-absent', how: (o) => o.cause.push(named(o.cause, 'cause/battery-absent')) },
  'references-resolve': {
    id: 'cause/battery-absent',
    how: (o) => named(o.cause, 'cause/battery-absent').excludedBy.push('context/nowhere'),
  },
  'tools-known': {
    id: 'check/battery-present',
    how: (o) => {
      named(o.check, 'check/battery-present').tools.push('periscope')
    },
  },
  'levels-known': {
    id: 'cause/battery-absent',
    how: (o) => {
      named(o.cause, 'cause/battery-absent').baseRate = { level: 'now-and-then', basis: 'judgement' }
    },
  },
  'sources-known': {
    id: 'cause/battery-absent',
    how: (o) => {
      named(o.cause, 'cause/battery-absent').baseRate = { value: 0.01, basis: 'published' }
    },
  },
  'conditions-have-causes': {
    id: 'condition/battery-low',
    how: (o) => {
      for (const cause of o.cause)
        cause.shows = cause.shows.filter((link) => link.condition !== 'condition/battery-low')
    },
  },
  'causes-have-remedy': {
    id: 'cause/battery-absent',
    how: (o) => {
      for (const remedy of o.remedy) remedy.fixes = remedy.fixes.filter((fix) => fix.cause !== 'cause/battery-absent')
      delete named(o.cause, 'cause/battery-absent').escalation
    },
  },
  'causes-can-be-checked': {
    id: 'cause/battery-absent',
    how: (o) => {
      for (const { model } of o.check)
        if (model.kind === 'yes-no') model.links = model.links.filter((link) => link.cause !== 'cause/battery-absent')
        else if (model.kind === 'ordered')
          model.links = model.links.filter((link) => link.cause !== 'cause/battery-absent')
      for (const reading of o.reading)
        for (const side of [reading.low, reading.high])
          if (side) side.links = side.links.filter((link) => link.cause !== 'cause/battery-absent')
      for (const context of o.context)
        context.shifts = context.shifts.filter((shift) => shift.cause !== 'cause/battery-absent')
    },
  },
  'check-results-fit-model': {
    id: 'check/battery-present',
    how: (o) => {
      named(o.check, 'check/battery-present').results[0]!.id = 'somewhere-else'
    },
  },
  'bands-ascend': {
    id: 'reading/battery-rest-voltage',
    how: (o) => {
      named(o.reading, 'reading/battery-rest-voltage').bands.reverse()
    },
  },
  'distributions-fit': {
    id: 'reading/battery-rest-voltage',
    how: (o) => {
      named(o.reading, 'reading/battery-rest-voltage').low!.leak.values[0] = 0
    },
  },
  'groups-leave-room': {
    id: 'crowd',
    how: (o) => {
      for (const cause of o.cause.slice(0, 2))
        Object.assign(cause, { group: 'crowd', baseRate: { value: 0.6, basis: 'judgement' } })
    },
  },
  'shares-fit': {
    id: 'check/ask-power-feed',
    how: (o) => {
      named(o.context, 'context/power-feed-plug').share = { value: 0.99, basis: 'judgement' }
    },
  },
  'steps-name-hazards': {
    id: 'check/battery-rest-voltage',
    how: (o) => {
      named(o.check, 'check/battery-rest-voltage').hazards = []
    },
  },
  'signals-are-gated': {
    id: 'remedy/acknowledge-tamper',
    how: (o) => {
      named(o.remedy, 'remedy/acknowledge-tamper').disturbs = []
    },
  },
  'lifts-stand-in-the-way': {
    id: 'context/new-router',
    how: (o) => {
      named(o.context, 'context/new-router').lift = { 'en-US': 'Put the old one back.' }
    },
  },
  'first-questions-are-free': {
    id: 'condition/personal-help-device-missing',
    how: (o) => {
      named(o.check, 'check/ask-wearer-well').disturbs = ['cell']
    },
  },
  'clears-are-sound': {
    id: 'check/bypass-after-disarm',
    how: (o) => {
      named(o.check, 'check/bypass-after-disarm').results[0]!.clears = ['condition/battery-low']
    },
  },
  'causes-are-told-apart': {
    id: 'condition/mains-missing',
    how: (o) => {
      for (const check of o.check)
        if (check.model.kind === 'yes-no')
          for (const link of check.model.links) link.q = { value: 0, basis: 'judgement' }
      o.reading = []
      o.context = []
      for (const check of o.check) if (check.model.kind === 'ordered') check.model.links = []
    },
  },
  'codes-are-mapped': {
    id: 'dc-05 301',
    how: (o) => {
      o.crosswalks.find(({ scheme }) => scheme === 'dc-05')!.codes.find(({ code }) => code === '301')!.mappings = []
    },
  },
  'deprecations-lead-on': {
    id: 'cause/battery-absent',
    how: (o) => {
      for (const [id, successor] of [
        ['cause/battery-absent', 'cause/battery-worn-out'],
        ['cause/battery-worn-out', 'cause/battery-absent'],
      ] as const)
        Object.assign(named(o.cause, id), {
          status: 'deprecated',
          deprecated: { since: '9.9.9', reason: 'a circle', replacedBy: [successor] },
        })
    },
  },
  'families-have-other': {
    id: 'family/power',
    how: (o) => {
      named(o.cause, 'cause/other-fault-power').other = false
    },
  },
  'hazards-can-stop': {
    id: 'hazard/ladder-and-height',
    how: (o) => {
      named(o.hazard, 'hazard/ladder-and-height').stopIf = []
    },
  },
  'labels-are-plain': {
    id: 'condition/battery-low',
    how: (o) => {
      delete named(o.condition, 'condition/battery-low').lay
    },
  },
  'scopes-agree': {
    id: 'check/battery-rest-voltage',
    how: (o) => {
      named(o.check, 'check/battery-rest-voltage').scope = 'device'
    },
  },
  'parts-fit': {
    id: 'part-class/alkaline-cell',
    how: (o) => {
      named(o['part-class'], 'part-class/alkaline-cell').substitutes![0]!.conditions = []
    },
  },
  'roots-tell-why': {
    id: 'cause/supply-unplugged',
    how: (o) => {
      delete named(o.cause, 'cause/supply-unplugged').again
    },
  },
  'conditions-state-protection': {
    id: 'condition/battery-low',
    how: (o) => {
      delete named(o.condition, 'condition/battery-low').affects
    },
  },
  'follows-agree': {
    id: 'condition/battery-low',
    how: (o) => {
      named(o.condition, 'condition/battery-low').implies = ['context/power-feed-plug', 'context/power-feed-cord']
    },
  },
  'contexts-keep-scope': {
    id: 'check/ask-recent-storm',
    how: (o) => {
      named(o.context, 'context/storm-recent').scope = 'device'
    },
  },
  'steps-go-together': {
    id: 'check/ask-recent-storm',
    how: (o) => {
      named(o.check, 'check/ask-recent-storm').requiresAny = [{ check: 'check/battery-present', result: 'somewhere' }]
    },
  },
}

test('the source breaks no rule', () => {
  expect(ontologyFaults(source)).toEqual([])
})

test('every rule is tried with a broken copy', () => {
  expect(Object.keys(BROKEN)).toHaveLength(RULES.length)
})

describe('a deprecation', () => {
  const faultsOf = (replacedBy: string[], change: Break = () => {}) => {
    const ontology = copy()
    Object.assign(named(ontology.cause, 'cause/battery-absent'), {
      status: 'deprecated',
      deprecated: { since: '9.9.9', reason: 'split', replacedBy },
    })
    change(ontology)
    return ontologyFaults(ontology).filter(({ rule }) => rule === 'deprecations-lead-on')
  }

  test('to a live concept, or without any successor, is allowed', () => {
    expect(faultsOf(['cause/battery-worn-out'])).toEqual([])
    expect(faultsOf([])).toEqual([])
  })

  test('to a concept that does not exist is refused', () => {
    expect(faultsOf(['cause/nowhere'])[0]!.message).toContain('does not exist')
  })

  test('to a deprecated concept without a successor of its own is refused', () => {
    const faults = faultsOf(['cause/battery-worn-out'], (o) =>
      Object.assign(named(o.cause, 'cause/battery-worn-out'), {
        status: 'deprecated',
        deprecated: { since: '9.9.9', reason: 'gone', replacedBy: [] },
      }),
    )
    expect(faults[0]!.message).toContain('without a successor')
  })
})

test.each(['lay', 'definition'] as const)('a %s that repeats the label is refused', (field) => {
  const ontology = copy()
  const condition = named(ontology.condition, 'condition/battery-low')
  condition[field] = { 'en-US': `${condition.label['en-US']}.` }
  const [fault] = ontologyFaults(ontology)
  expect([fault!.rule, fault!.id]).toEqual(['labels-are-plain', 'condition/battery-low'])
  expect(fault!.remedy).toContain(field)
})

test.each(Object.entries(BROKEN))('rule %s names the offending id and a remedy', (rule, { id, how }) => {
  const ontology = copy()
  how(ontology)
  const faults = ontologyFaults(ontology).filter((fault) => fault.rule === rule)
  expect(faults.map((fault) => fault.id)).toContain(id)
  expect(faults.every((fault) => fault.remedy.length > 10)).toBe(true)
})

describe('what decides the fit of a part', () => {
  const faultsOf = (id: string, change: (partClass: Ontology['part-class'][number]) => void) => {
    const ontology = copy()
    change(named(ontology['part-class'], id))
    return ontologyFaults(ontology)
      .filter(({ rule }) => rule === 'parts-fit')
      .map((fault) => fault.message)
  }
  const BATTERY = 'part-class/vrla-battery-12v'

  test.each<[string, string, (partClass: Ontology['part-class'][number]) => void]>([
    ['an attribute without a rule', 'does not say how nominalVoltageV', (one) => delete one.attributes[0]!.fit],
    ['a fixed value of another type', 'nominalVoltageV cannot be', (one) => (one.attributes[0]!.fit!.fixed = '12')],
    ['a swap of an attribute nobody has', 'swaps mood', (one) => (one.substitutes![0]!.swaps[0]!.attribute = 'mood')],
    [
      'a swap to a value off the list',
      'terminal cannot be',
      (one) => (one.substitutes![0]!.swaps[0]!.candidate = 'F9'),
    ],
    ['a piece that does not exist', 'batteryTab', (one) => (one.substitutes![0]!.with!.attributes.batteryTab = 'F9')],
  ])('%s is refused', (_, words, change) => {
    expect(faultsOf(BATTERY, change).join()).toContain(words)
  })

  test('a class of an overlay needs no rules', () => {
    expect(
      faultsOf(BATTERY, (one) => {
        one.id = 'part-class/mine~battery'
        for (const attribute of one.attributes) delete attribute.fit
      }),
    ).toEqual([])
  })
})
