import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { currentRelease, publishedReleases } from '../../src/ontology/release.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const volts = (value: number) => ({ value, unit: 'V' })
const ampereHours = (value: number) => ({ value, unit: 'Ah' })
const millimetres = (value: number) => ({ value, unit: 'mm' })
const BATTERY = 'part-class/vrla-battery-12v'
const SYSTEM = {
  batteryVoltage: volts(12),
  fittedCount: 1,
  bay: { length: millimetres(155), width: millimetres(70), height: millimetres(105) },
  terminals: ['F1'],
}
const SIZING = { requiredCapacity: ampereHours(6.4), chargeCurrent: { value: 350, unit: 'mA' } }
const REPLACE = { remedy: 'remedy/replace-storage-battery', system: SYSTEM, sizing: SIZING }
const needs = (body: object) => ask(send, 'POST', '/v1/parts/needs', body)
const match = (body: object) => ask(send, 'POST', '/v1/parts/match', body)
const needOf = (body: any, partClass: string) => body.needs.find((one: any) => one.partClass === partClass)
const demandOf = ({ requirement }: any, name: string) =>
  requirement.constraints.filter(({ attribute }: any) => attribute === name)
const battery = (sku: string, more: object = {}) => ({
  sku,
  partClass: BATTERY,
  title: sku,
  attributes: {
    nominalVoltageV: 12,
    chemistry: 'agm',
    capacityAh: 7,
    lengthMm: 151,
    widthMm: 65,
    heightMm: 100,
    terminal: 'F1',
    ...more,
  },
})
const skus = (list: { sku: string }[]) => list.map(({ sku }) => sku)

describe('POST /v1/parts/needs answers', () => {
  test('a requirement that the matcher takes as it is, with the origin of each demand', async () => {
    const { body } = await needs(REPLACE)
    const need = body.needs[0]
    expect([need.partClass, need.role, need.state, need.isComplete]).toEqual([BATTERY, 'part', 'open', true])
    expect(demandOf(need, 'capacityAh')[0]).toMatchObject({ op: 'range', value: 6.4, to: 9.45 })
    for (const { origin } of need.requirement.constraints) expect(origin).toBeTruthy()
    const items = [battery('B-7'), battery('B-12', { capacityAh: 12 }), battery('L-7', { chemistry: 'lithium' })]
    const matched = (await match({ ...need.requirement, items })).body
    expect([skus(matched.fits), skus(matched.nearMisses), skus(matched.rejectedForSafety)]).toEqual([
      ['B-7'],
      ['B-12'],
      ['L-7'],
    ])
  })

  test.each(
    currentRelease()
      .ontology.remedy.filter(({ partClasses }) => partClasses.length > 0)
      .map(({ id }) => id),
  )('requirements for each part of %s that can be matched by', async (remedy) => {
    const { body } = await needs({ remedy })
    expect(body.needs.length).toBeGreaterThan(0)
    for (const { requirement, cautions } of body.needs) {
      const matched = await match({ ...requirement, items: [] })
      expect([matched.status, matched.body.isNoMatch]).toEqual([200, true])
      expect(Array.isArray(cautions)).toBe(true)
    }
  })

  test('a part fits on nothing that nobody stated: each item is to be confirmed first, with where to look', async () => {
    const { body } = await needs({ partClass: BATTERY })
    const [need] = body.needs
    expect(need.isComplete).toBe(false)
    expect(need.questions.map(({ attribute }: any) => attribute)).toContain('capacityAh')
    const matched = (await match({ ...need.requirement, items: [battery('B-7')] })).body
    expect([skus(matched.fits), skus(matched.confirmFirst)]).toEqual([[], ['B-7']])
    expect(matched.confirmFirst[0].confirm.length).toBeGreaterThan(2)
    expect(matched.askFor.map(({ attribute }: any) => attribute)).toContain('capacityAh')
  })

  test('how to read a standby battery safely', async () => {
    const { body } = await needs({ partClass: BATTERY })
    const hazards = body.needs[0].cautions.map(({ hazard }: any) => hazard)
    expect(hazards).toEqual(expect.arrayContaining(['hazard/vrla-short-circuit', 'hazard/vrla-acid-and-gas']))
  })

  test('that a fire part goes like for like only, and mains parts to an electrician, before anything is looked for', async () => {
    const limitsOf = async (partClass: string) => (await needs({ partClass })).body.needs[0].limits
    expect((await limitsOf('part-class/radio-smoke-detector')).map(({ say }: any) => say).join()).toMatch(/same type/)
    expect((await limitsOf('part-class/enclosed-mains-supply')).map(({ say }: any) => say).join()).toMatch(
      /electrician/,
    )
    expect((await limitsOf(BATTERY)).map(({ kind }: any) => kind)).not.toContain('transport')
  })

  test('both ways to make up 12 V while nobody counted the blocks, and one once they are counted', async () => {
    const { fittedCount: _, ...uncounted } = SYSTEM
    const open = (await needs({ ...REPLACE, system: uncounted })).body
    expect(open.needs.filter(({ state, role }: any) => state === 'open' && role === 'part')).toHaveLength(2)
    expect(needOf(open, 'part-class/vrla-battery-6v').requirement.quantity).toBe(2)
    expect(needOf(open, BATTERY).questions.map(({ attribute }: any) => attribute)).toContain('fittedCount')
    const two = (await needs({ ...REPLACE, system: { ...SYSTEM, fittedCount: 2 } })).body
    expect(two.needs[0]).toMatchObject({ partClass: 'part-class/vrla-battery-6v', state: 'open' })
    expect(needOf(two, BATTERY).state).toBe('ruled-out')
  })

  test('the size read off the old cell leaves one kind of cell of all that a remedy may need', async () => {
    const oldPart = { attributes: { sizeName: 'CR2032', quantityPerSet: 2 } }
    const { body } = await needs({ remedy: 'remedy/service-right-sensor', oldPart })
    const open = body.needs.filter(({ state }: any) => state === 'open')
    expect(open.map(({ partClass }: any) => partClass)).toEqual([
      'part-class/lithium-coin-cell',
      'part-class/primary-battery-pack',
    ])
    expect(open[0].requirement.quantity).toBe(2)
  })

  test('a size that no kind lists rules none of them out', async () => {
    const oldPart = { attributes: { sizeName: 'CR2320' } }
    const { body } = await needs({ remedy: 'remedy/service-right-sensor', oldPart })
    expect(needOf(body, 'part-class/lithium-coin-cell').state).toBe('open')
  })

  test('a sizing above the charger’s limit is said plainly and empties nothing silently', async () => {
    const sizing = { requiredCapacity: ampereHours(12), chargerLimit: ampereHours(9) }
    const { body } = await needs({ ...REPLACE, sizing })
    const need = needOf(body, BATTERY)
    expect(need.state).toBe('contradicted')
    expect(need.contradictions[0].say).toMatch(
      /at least 12 Ah \(the sizing\) against at most 9 Ah .*No part meets both/,
    )
    const matched = (await match({ ...need.requirement, items: [battery('B-12', { capacityAh: 12 })] })).body
    expect(matched.fits).toEqual([])
    expect(matched.contradictions).toHaveLength(1)
  })

  test('AC and DC are different parts', async () => {
    const system = { supplyKind: 'ac', supplyOutput: volts(16.5), supplyPower: { value: 40, unit: 'VA' } }
    const { body } = await needs({ remedy: 'remedy/replace-plug-in-supply', system })
    expect(needOf(body, 'part-class/plug-in-supply-ac').state).toBe('open')
    expect(needOf(body, 'part-class/plug-in-supply-dc')).toMatchObject({
      state: 'ruled-out',
      contradictions: [{ attribute: 'voltageKind', isSafety: true }],
    })
  })

  test('a holder that charges its cell rules every primary cell out', async () => {
    const { body } = await needs({ partClass: 'part-class/lithium-cell-3v-cylindrical', system: { slotCharges: true } })
    expect(body.needs[0]).toMatchObject({ state: 'ruled-out', contradictions: [{ attribute: 'rechargeable' }] })
  })

  test('other units make no other requirement', async () => {
    const bay = {
      length: { value: 15.5, unit: 'cm' },
      width: { value: 0.07, unit: 'm' },
      height: millimetres(105),
    }
    const sizing = { requiredCapacity: { value: 6400, unit: 'mAh' }, chargeCurrent: { value: 0.35, unit: 'A' } }
    const { requirement } = (await needs({ ...REPLACE, system: { ...SYSTEM, bay }, sizing })).body.needs[0]
    const items = [battery('a'), battery('b', { lengthMm: 155.5 }), battery('c', { capacityAh: 9.5 })]
    const own = (await needs(REPLACE)).body.needs[0].requirement
    const [one, other] = [await match({ ...requirement, items }), await match({ ...own, items })]
    expect([skus(one.body.fits), skus(one.body.nearMisses)]).toEqual([
      skus(other.body.fits),
      skus(other.body.nearMisses),
    ])
    expect(skus(one.body.fits)).toEqual(['a'])
  })

  test('the feed that is still open is said before the battery, and what the battery does nothing for', async () => {
    const causes = [
      { cause: 'cause/battery-worn-out', probability: 0.7 },
      { cause: 'cause/supply-unplugged', probability: 0.6 },
      { cause: 'cause/loop-moisture', probability: 0.3 },
    ]
    const { outlook } = (await needs({ ...REPLACE, diagnosis: { causes } })).body
    expect(outlook.roots[0]).toMatchObject({ cause: 'cause/supply-unplugged', basis: 'common-practice' })
    expect(outlook.roots[0].say).toMatch(/new battery goes flat too/)
    expect(outlook.notCured.map(({ cause }: any) => cause)).toEqual(['cause/loop-moisture'])
  })

  test('each likely cause of a diagnosis is a root above the part, is cured by it, or is named as not cured', async () => {
    const findings = [
      { kind: 'condition', condition: 'condition/mains-missing', state: 'present' },
      { kind: 'condition', condition: 'condition/battery-low', state: 'present' },
    ]
    const diagnosed = (await ask(send, 'POST', '/v1/diagnose', { findings })).body.causes
    const causes = diagnosed.map(({ cause, label, probability }: any) => ({ cause, label, probability }))
    const { outlook } = (await needs({ ...REPLACE, diagnosis: { causes } })).body
    const remedy = currentRelease().ontology.remedy.find(({ id }) => id === REPLACE.remedy)!
    const named = [...outlook.roots, ...outlook.notCured, ...remedy.fixes].map(({ cause }: any) => cause)
    const likely = causes.filter(({ probability }: any) => probability >= 0.2)
    expect(likely.length).toBeGreaterThan(0)
    for (const { cause } of likely) expect(named).toContain(cause)
    for (const { probability } of [...outlook.roots, ...outlook.notCured])
      expect(probability).toBeGreaterThanOrEqual(0.2)
  })

  test.each(publishedReleases().map(({ release }) => release))('from release %s', async (release) => {
    const { status, body } = await needs({ ...REPLACE, release, oldPart: { attributes: { capacityAh: 7 } } })
    expect([status, body.basis.release]).toEqual([200, release])
    for (const { requirement } of body.needs) {
      const matched = await match({ ...requirement, release, items: [battery('B-7')], at: '2026-01-01' })
      expect(matched.status).toBe(200)
    }
  })
})

describe('POST /v1/parts/needs refuses', () => {
  test.each<[string, object, string, string]>([
    ['neither remedy nor class', {}, 'INPUT_INVALID', '/remedy'],
    ['both of them', { remedy: 'remedy/remake-joint', partClass: BATTERY }, 'INPUT_INVALID', '/remedy'],
    ['a remedy nobody knows', { remedy: 'remedy/pray' }, 'UNKNOWN_ID', '/remedy'],
    ['a cause for a class', { partClass: 'cause/battery-absent' }, 'UNKNOWN_ID', '/partClass'],
    [
      'a cause nobody knows',
      { partClass: BATTERY, diagnosis: { causes: [{ cause: 'cause/gremlins', probability: 1 }] } },
      'UNKNOWN_ID',
      '/diagnosis/causes/0/cause',
    ],
    [
      'a voltage in amperes',
      { partClass: BATTERY, system: { batteryVoltage: { value: 12, unit: 'A' } } },
      'UNIT_MISMATCH',
      '/system/batteryVoltage/unit',
    ],
    [
      'a voltage below zero',
      { partClass: BATTERY, system: { batteryVoltage: volts(-12) } },
      'QUANTITY_OUT_OF_RANGE',
      '/system/batteryVoltage',
    ],
    [
      'a supply upside down',
      { partClass: BATTERY, system: { deviceSupply: { low: volts(14), high: volts(11) } } },
      'QUANTITY_OUT_OF_RANGE',
      '/system/deviceSupply/high',
    ],
  ])('%s', async (_, body, code, pointer) => {
    const answer = await needs(body)
    expect([answer.status, answer.body.code, answer.body.errors[0].pointer]).toEqual([422, code, pointer])
  })
})

describe('POST /v1/parts/needs guards', () => {
  const remedies = currentRelease().ontology.remedy.filter(({ partClasses }) => partClasses.length > 0)
  const some = <T>(values: T[]) => fc.option(fc.constantFrom(...values), { nil: undefined })
  const known = fc.record({
    remedy: fc.constantFrom(...remedies.map(({ id }) => id)),
    system: fc.record({
      batteryVoltage: some([6, 12, 13, 24].map(volts)),
      fittedCount: some([1, 2, 3]),
      supplyKind: some(['ac', 'dc']),
      supplyOutput: some([12, 16.5].map(volts)),
      deviceSupply: some([{ low: volts(11), high: volts(14) }]),
      terminals: some([['F1'], ['F2', 'M5'], ['screw']]),
      slotCharges: some([true, false]),
    }),
    sizing: fc.record({
      requiredCapacity: some([0, 6.4, 40].map(ampereHours)),
      chargerLimit: some([5, 9].map(ampereHours)),
      chargeCurrent: some([0, 0.35, 1].map((value) => ({ value, unit: 'A' }))),
      inParallel: some([1, 2, 3]),
    }),
    oldPart: fc.record({
      attributes: fc.dictionary(
        fc.constantFrom(
          'capacityAh',
          'chemistry',
          'terminal',
          'nominalVoltageV',
          'sizeName',
          'supplyVoltageV',
          'ipRating',
        ),
        fc.constantFrom<unknown>(7, 12, 'F1', 'agm', 'LR6', true, { min: 9, max: 15 }),
      ),
    }),
  })

  test('whatever is known, the matcher takes each requirement, and nothing fits where facts contradict each other', async () => {
    await fc.assert(
      fc.asyncProperty(known, async (body) => {
        const answer = await needs(JSON.parse(JSON.stringify(body)))
        expect(answer.status).toBe(200)
        for (const { requirement, state } of answer.body.needs) {
          const matched = await match({ ...requirement, items: [battery('B-7'), battery('B-9', { capacityAh: 9 })] })
          expect(matched.status).toBe(200)
          if (state !== 'open') expect(matched.body.fits).toEqual([])
        }
      }),
      { numRuns: 60 },
    )
  })

  const classes = currentRelease().ontology['part-class']

  test.each(classes.map(({ id }) => id))(
    'every matter of safety of %s stands in its requirement',
    async (partClass) => {
      const { requirement } = (await needs({ partClass })).body.needs[0]
      const safety = classes.find(({ id }) => id === partClass)!.attributes.filter(({ role }) => role === 'safety')
      for (const { name } of safety) {
        const [demand] = demandOf({ requirement }, name)
        expect([name, demand?.isSafety]).toEqual([name, true])
      }
    },
  )
})
