import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import type { Cause, Condition, Levels } from '../../src/ontology/shape.ts'
import {
  buildNetwork,
  compareWithSource,
  type RawCause,
  ShareTableSchema,
  shareRow,
  sourceText,
  withFittedNumbers,
} from '../../src/tools/share-table.ts'
import {
  alsoShown,
  type FitCondition,
  type FitNetwork,
  fitStartingValues,
  posteriorOf,
  prevalenceOf,
  reportRow,
} from '../../src/tools/starting-values.ts'

const worst: Record<string, number> = {}
const note = (name: string, error: number) => {
  worst[name] = Math.max(worst[name] ?? 0, Math.abs(error))
}
afterAll(() => {
  for (const [name, error] of Object.entries(worst)) console.info(`starting values, worst ${name}: ${error}`)
})

/** Every allowed set of causes with its weight: an independent second way to each probability. */
function worlds({ causes }: FitNetwork): { present: number[]; weight: number }[] {
  const groups = [...new Set(causes.flatMap(({ group }) => (group === undefined ? [] : [group])))]
  return Array.from({ length: 2 ** causes.length }, (_, mask) => {
    const present = causes.flatMap((_, index) => (mask & (1 << index) ? [index] : []))
    let weight = 1
    causes.forEach(({ baseRate, group }, index) => {
      if (group === undefined) weight *= present.includes(index) ? baseRate : 1 - baseRate
    })
    for (const name of groups) {
      const members = causes.flatMap(({ group }, index) => (group === name ? [index] : []))
      const there = members.filter((index) => present.includes(index))
      const none = 1 - members.reduce((sum, index) => sum + causes[index]!.baseRate, 0)
      if (there.length > 1) weight = 0
      else weight *= there.length === 1 ? causes[there[0]!]!.baseRate : none
    }
    return { present, weight }
  })
}

function shown({ leak, links }: FitCondition, present: number[]): number {
  let quiet = 1 - leak
  for (const { cause, q } of links) if (present.includes(cause)) quiet *= 1 - q
  return 1 - quiet
}

const enumerate = (network: FitNetwork, value: (present: number[]) => number) =>
  worlds(network).reduce((sum, { present, weight }) => sum + weight * value(present), 0)

/** Small networks with two conditions; the first three causes exclude each other. */
const networks = fc
  .record({
    rates: fc.array(fc.double({ min: 0.001, max: 0.12, noNaN: true }), { minLength: 5, maxLength: 7 }),
    links: fc.array(fc.double({ min: 0.02, max: 0.95, noNaN: true }), { minLength: 14, maxLength: 14 }),
    leaks: fc.tuple(fc.double({ min: 1e-4, max: 0.01, noNaN: true }), fc.double({ min: 1e-4, max: 0.01, noNaN: true })),
  })
  .map(({ rates, links, leaks }): FitNetwork => {
    const causes = rates.map((baseRate, index) => ({
      id: `cause/number-${index}`,
      baseRate,
      ...(index < 3 ? { group: 'one-of' } : {}),
      isOther: false,
    }))
    const conditions = leaks.map((leak, row) => ({
      id: `condition/number-${row}`,
      leak,
      links: causes.map((_, cause) => ({ cause, q: links[row * 7 + cause]! })),
    }))
    return { causes, conditions }
  })

/** The network's own posteriors and prevalence, put in as the shares to be met. */
function planted(given: FitNetwork): FitNetwork {
  const network = structuredClone(given)
  network.causes.forEach((_, cause) => {
    const own = network.conditions.map(({ links }) => links[cause]!)
    own[cause % own.length]!.q = 0.95
  })
  for (const condition of network.conditions) {
    condition.prevalence = enumerate(network, (present) => shown(condition, present))
    for (const link of condition.links) {
      const joint = enumerate(network, (present) => (present.includes(link.cause) ? shown(condition, present) : 0))
      link.share = joint / condition.prevalence
    }
  }
  return network
}

/** The same network with the numbers that the fit has to find taken out. */
function blanked(network: FitNetwork): FitNetwork {
  const blank = structuredClone(network)
  for (const cause of blank.causes) cause.baseRate = 0.3
  for (const { links } of blank.conditions) for (const link of links) link.q = 0.5
  return blank
}

describe('the closed forms', () => {
  test('the posterior of one condition shown alone is that of going through every set of causes', () => {
    fc.assert(
      fc.property(networks, (network) => {
        for (const condition of network.conditions)
          for (const cause of network.causes.keys()) {
            const joint = enumerate(network, (present) => (present.includes(cause) ? shown(condition, present) : 0))
            const exact = joint / enumerate(network, (present) => shown(condition, present))
            const error = posteriorOf(network, condition, cause) - exact
            note('posterior error against enumeration', error)
            expect(Math.abs(error)).toBeLessThan(1e-12)
          }
      }),
      { numRuns: 60 },
    )
  })

  test('a cause without a link to the condition has a posterior too', () => {
    const network: FitNetwork = {
      causes: ['a', 'b', 'c'].map((id, index) => ({ id, baseRate: 0.1, group: 'g', isOther: index < 0 })),
      conditions: [{ id: 'shown', leak: 0.01, links: [{ cause: 0, q: 0.9 }] }],
    }
    // By hand: P(shown) = 1 - .99 (1 - .1 * .9) = .0991; a member of the group without link shows it by leak alone.
    expect(posteriorOf(network, network.conditions[0]!, 1)).toBeCloseTo((0.1 * 0.01) / 0.0991, 12)
  })

  test('prevalence and conditions shown together are those of going through every set of causes', () => {
    fc.assert(
      fc.property(networks, (network) => {
        const [first, second] = network.conditions as [FitCondition, FitCondition]
        const one = enumerate(network, (present) => shown(first, present))
        const both = enumerate(network, (present) => shown(first, present) * shown(second, present))
        const error = alsoShown(network, first, second) - both / one
        note('error of conditions shown together', error)
        expect(Math.abs(error)).toBeLessThan(1e-11)
        expect(prevalenceOf(network, first)).toBeCloseTo(one, 12)
      }),
      { numRuns: 40 },
    )
  })
})

describe('the fit', () => {
  test('recovers planted shares and prevalences within what three digits allow', () => {
    fc.assert(
      fc.property(networks, (network) => {
        const goal = planted(network)
        const fitted = fitStartingValues(blanked(goal))
        for (const condition of fitted.conditions) {
          const prevalenceError = prevalenceOf(fitted, condition) / condition.prevalence! - 1
          note('relative prevalence error on planted networks', prevalenceError)
          // Three digits move a number by 0.5 % at most; base rate and q are both rounded.
          expect(Math.abs(prevalenceError)).toBeLessThan(0.01)
          for (const link of condition.links) {
            const error = posteriorOf(fitted, condition, link.cause) - link.share!
            note('share error on planted networks', error)
            expect(Math.abs(error)).toBeLessThan(0.02 * link.share! + 1e-4)
          }
        }
      }),
      { numRuns: 60 },
    )
  })

  test('recovers the planted base rates themselves', () => {
    fc.assert(
      fc.property(networks, (network) => {
        const goal = planted(network)
        fitStartingValues(blanked(goal)).causes.forEach(({ baseRate }, index) => {
          const error = baseRate / goal.causes[index]!.baseRate - 1
          note('relative base rate error on planted networks', error)
          expect(Math.abs(error)).toBeLessThan(0.01)
        })
      }),
      { numRuns: 60 },
    )
  })

  test('gives the same whatever numbers stood where it writes', () => {
    fc.assert(
      fc.property(networks, (network) => {
        const goal = planted(network)
        const once = fitStartingValues(blanked(goal))
        expect(fitStartingValues(once)).toEqual(once)
      }),
      { numRuns: 20 },
    )
  })

  test('names a cause that is too common for a small share', () => {
    const network: FitNetwork = {
      causes: [
        { id: 'cause/common', baseRate: 0, isOther: false },
        { id: 'cause/rare', baseRate: 0, isOther: false },
      ],
      conditions: [
        { id: 'often', leak: 0.001, prevalence: 0.3, links: [{ cause: 0, q: 0, share: 0.99 }] },
        {
          id: 'seldom',
          leak: 0.0001,
          prevalence: 0.005,
          links: [
            { cause: 0, q: 0, share: 0.05 },
            { cause: 1, q: 0, share: 0.9 },
          ],
        },
      ],
    }
    const fitted = fitStartingValues(network)
    expect(reportRow(fitted, fitted.conditions[1]!).unmatched).toEqual([
      expect.stringMatching(/^cause\/common: share 0\.05, reached 0\.3/),
    ])
    expect(reportRow(fitted, fitted.conditions[0]!).unmatched).toEqual([])
  })

  test('lets "something else" bring about its share without passing its ceiling', () => {
    const row = (prevalence: number, share: number): FitNetwork => ({
      causes: [
        { id: 'cause/named', baseRate: 0, isOther: false },
        { id: 'cause/other-fault', baseRate: 0.02, isOther: true },
      ],
      conditions: [
        {
          id: 'c',
          leak: 0.0001,
          prevalence,
          links: [
            { cause: 0, q: 0, share: 1 - share },
            { cause: 1, q: 0, share },
          ],
        },
      ],
    })
    const met = fitStartingValues(row(0.05, 0.1))
    expect(met.causes[1]!.baseRate).toBe(0.02)
    // Judged by the definition: baseRate q / prevalence is the share, up to the few per cent counted twice.
    expect((0.02 * met.conditions[0]!.links[1]!.q) / 0.05).toBeCloseTo(0.1, 2)
    expect(reportRow(met, met.conditions[0]!).unmatched).toEqual([])
    const capped = fitStartingValues(row(0.2, 0.3))
    expect(capped.conditions[0]!.links[1]!.q).toBe(0.5)
    expect(reportRow(capped, capped.conditions[0]!).unmatched).toEqual([
      expect.stringMatching(/^cause\/other-fault: share 0\.3/),
    ])
  })
})

const levels: Levels = { baseRate: { rare: 0.002 }, link: { sometimes: 0.25 }, basis: 'judgement' }
const text = { 'en-US': 'words' }
const judged = (value: number) => ({ value, basis: 'judgement' })
const fixture = [
  {
    id: 'cause/supply-out',
    label: text,
    family: 'power',
    baseRate: { value: 0.5, basis: 'judgement', note: 'kept' },
    shows: [
      { condition: 'condition/dark', q: judged(0.5) },
      { condition: 'condition/weak', q: { level: 'sometimes', basis: 'judgement' } },
    ],
  },
  { id: 'cause/worn', label: text, baseRate: judged(0.3), shows: [{ condition: 'condition/weak', q: judged(0.3) }] },
  {
    id: 'cause/not-in-table',
    label: text,
    baseRate: { level: 'rare', basis: 'judgement' },
    shows: [{ condition: 'condition/dark', q: judged(0.4) }],
  },
  {
    id: 'cause/other-fault-power',
    other: true,
    baseRate: judged(0.02),
    shows: [
      { condition: 'condition/dark', q: judged(0.3) },
      { condition: 'condition/weak', q: judged(0.3) },
    ],
  },
] satisfies (RawCause & Record<string, unknown>)[]
const table = ShareTableSchema.parse([
  {
    condition: 'condition/dark',
    family: 'power',
    prevalence: { value: 0.1, basis: 'judgement' },
    basis: 'judgement',
    shares: [
      { cause: 'cause/supply-out', share: 0.6 },
      { cause: 'cause/not-written-yet', share: 0.3 },
    ],
    unmodelled: 0.1,
  },
  {
    condition: 'condition/weak',
    family: 'power',
    prevalence: { class: 'b', basis: 'judgement' },
    basis: 'judgement',
    shares: [{ cause: 'cause/worn', share: 0.9 }],
    unmodelled: 0.1,
  },
])
const rows = table.map(shareRow)
const sourceOf = (causes: readonly RawCause[]) => ({
  cause: causes as unknown as Cause[],
  condition: ['dark', 'weak'].map((name) => ({ id: `condition/${name}`, leak: judged(0.001) })) as Condition[],
  levels,
})
const derive = <T extends RawCause>(causes: readonly T[]) =>
  withFittedNumbers(causes, fitStartingValues(buildNetwork(sourceOf(causes), rows)))

describe('the source', () => {
  test('gets derived numbers for the pairs of the table and keeps everything else', () => {
    const [supply, worn, outside, other] = derive(fixture)
    expect(supply).toEqual({
      ...fixture[0],
      baseRate: { value: expect.any(Number), basis: 'derived', source: 'starting-values', note: 'kept' },
      shows: [
        {
          condition: 'condition/dark',
          q: { value: expect.any(Number), basis: 'derived', source: 'starting-values' },
        },
        fixture[0]!.shows[1],
      ],
    })
    expect(worn!.baseRate).toMatchObject({ basis: 'derived', source: 'starting-values' })
    expect(outside).toEqual(fixture[2])
    expect(other!.baseRate).toEqual(judged(0.02))
    expect(JSON.stringify(supply).replace(/"value":[\d.]+/g, '')).toMatch(
      /^\{"id".*"label".*"family".*"baseRate".*"shows"/,
    )
  })

  test('is the same text after a second run', () => {
    const once = derive(fixture)
    expect(JSON.stringify(derive(once))).toBe(JSON.stringify(once))
    expect(JSON.stringify(once)).not.toBe(JSON.stringify(fixture))
  })

  test('counts a link outside the table against the shares of that row', () => {
    const without = fixture.map((cause) => ({ ...cause, shows: cause.shows.filter(({ q }) => !('level' in q)) }))
    const rate = (causes: RawCause[]) => causes.find(({ id }) => id === 'cause/worn')!.baseRate.value as number
    expect(rate(derive(fixture))).toBeLessThan(0.85 * rate(derive(without)))
  })

  test('keeps its layout when a file is written again', () => {
    const long = Array.from({ length: 9 }, (_, index) => `context/quite-a-long-${index}`)
    const text = sourceText([{ id: 'a [\n b', rootOf: ['cause/a', 'cause/b'], shows: [{ q: { value: 1 } }], long }])
    expect(text.split('\n').slice(0, 5)).toEqual([
      '[',
      '  {',
      '    "id": "a [\\n b",',
      '    "rootOf": ["cause/a", "cause/b"],',
      '    "shows": [',
    ])
    expect(text).toContain('"long": [\n      "context/quite-a-long-0",\n')
    expect(text.endsWith(']\n')).toBe(true)
  })

  test('is compared with the table in both directions', () => {
    const lists = Object.values(compareWithSource(sourceOf(fixture.map(({ id, ...rest }) => ({ id, ...rest }))), rows))
    expect(lists).toEqual([
      [],
      ['cause/not-written-yet'],
      [],
      ['cause/not-in-table'],
      ['cause/supply-out -> condition/weak', 'cause/not-in-table -> condition/dark'],
    ])
    const bare = fixture.map((cause) => ({ ...cause, shows: [] }))
    expect(compareWithSource(sourceOf(bare), rows)).toMatchObject({
      'links of the table that the source lacks (not written: add them by hand)': expect.arrayContaining([
        'cause/supply-out -> condition/dark',
        'cause/worn -> condition/weak',
      ]),
    })
  })
})

describe('the table of shares', () => {
  const kept = ShareTableSchema.parse(JSON.parse(readFileSync('ontology/material/shares.json', 'utf8')))

  test('has one row a condition and circumstance', () => {
    const keys = kept.map(({ condition, when }) => `${condition} ${when ?? ''}`)
    expect(new Set(keys).size).toBe(keys.length)
  })

  test('is refused when a row does not sum to 1', () => {
    const [row, ...rest] = structuredClone(kept)
    row!.unmodelled += 0.01
    expect(ShareTableSchema.safeParse([row, ...rest]).success).toBe(false)
  })

  test('is met by its own network: prevalence within 1 %, and each row keeps the proportions of its shares', () => {
    const plain = kept.filter(({ when }) => when === undefined).map(shareRow)
    const network = buildNetwork({ cause: [], condition: [], levels }, plain)
    for (const condition of network.conditions) condition.leak = condition.prevalence! / 100
    const fitted = fitStartingValues(network)
    for (const condition of fitted.conditions) {
      const report = reportRow(fitted, condition)
      note('relative prevalence error of the kept table', report.prevalence / report.wantedPrevalence - 1)
      expect(Math.abs(report.prevalence / report.wantedPrevalence - 1)).toBeLessThan(0.01)
      const unreachable = new Set(report.unmatched.map((line) => line.split(':')[0]))
      const named = condition.links.filter(({ cause }) => !fitted.causes[cause]!.isOther)
      const met = named.filter(({ cause }) => !unreachable.has(fitted.causes[cause]!.id))
      const ratios = met.map(({ cause, share }) => posteriorOf(fitted, condition, cause) / share!)
      // Three digits on base rate and q move a ratio by 1 % at most, two ratios apart by 2 %.
      note('spread of posterior / share in a row', Math.max(...ratios) / Math.min(...ratios) - 1)
      expect(Math.max(...ratios) / Math.min(...ratios), condition.id).toBeLessThan(1.02)
      // Shares sum to 1, posteriors to the expected number of causes. With P the prevalence, sum of baseRate q is
      // at most -ln(1-P), and causes present by chance without effect add at most the sum of baseRate (1-q).
      const prevalence = condition.prevalence!
      const lost = named.filter((link) => !met.includes(link)).reduce((sum, { share }) => sum + share!, 0)
      const idle = named.reduce((sum, { cause, q }) => sum + fitted.causes[cause]!.baseRate * (1 - q), 0)
      const ceiling = (-Math.log(1 - prevalence) / prevalence + idle) / (1 - lost)
      note('excess of posterior over share in a row', Math.max(...ratios) - 1)
      expect(Math.max(...ratios), condition.id).toBeLessThan(1.01 * ceiling)
      // Union bound: the causes together bring about no less than the prevalence without its background.
      expect(Math.min(...ratios), condition.id).toBeGreaterThan(0.99 * 0.99)
    }
  })
})
