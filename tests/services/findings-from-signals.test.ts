import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { LineScheme } from '../../src/domain/signals/line-form.ts'
import { FindingSchema } from '../../src/http/v1/diagnose/schema.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { decodeSignals } from '../../src/services/decode-signals.ts'
import { findingsFromSignals } from '../../src/services/findings-from-signals.ts'
import { VECTORS } from '../support/signals.ts'

const release = currentRelease()
const LIMITS = { findings: 200, devices: 64 }

async function found(text: string, { isStrict = false, limits = LIMITS, scheme = 'mixed' as LineScheme } = {}) {
  const lines = await decodeSignals(release, { text, scheme, isStrict })
  const placed = lines.flatMap(({ line, events }) => events.map((event) => ({ line, event })))
  return findingsFromSignals(release, placed, isStrict, limits)
}
const shown = async (text: string) =>
  (await found(text)).findings.map(({ condition, state, device = '-' }) => `${condition} ${state} ${device}`)
const reasons = async (text: string, isStrict = false) =>
  (await found(text, { isStrict })).unmapped.map(({ code, reason }) => `${code} ${reason}`)

test('an alarm names the danger to ask about first, and none once it is restored', async () => {
  const asked = async (text: string) => (await found(text)).unmapped.map(({ code, ask }) => `${code} ${ask}`)
  expect(await asked('1121 00 001\n1111 01 004\n1151 01 004')).toEqual([
    '121 check/danger-intruder',
    '111 check/danger-burning',
    '151 check/danger-gas-smell',
  ])
  expect(await asked('3131 01 015')).toEqual(['131 undefined'])
})

describe('the tables', () => {
  const codeOf = (scheme: string, code: string) =>
    release.ontology.crosswalks.find((one) => one.scheme === scheme)!.codes.find((one) => one.code === code)!

  test.each(VECTORS.lookup.filter(({ given }) => given.code !== undefined))(
    '$id are as stated',
    ({ given, expected }) => {
      const { trouble, standing, restoralOf } = codeOf(given.format.toLowerCase(), given.code)
      expect(trouble).toBe(expected.trouble)
      if ('standing' in expected) expect(standing).toBe(expected.standing)
      if ('restoral_of' in expected) expect(restoralOf).toEqual(expected.restoral_of)
      if (!('dc03' in expected)) return
      const row = release.ontology.codeMaps
        .find(({ from, to }) => from === 'dc-05' && to === 'dc-03')!
        .rows.find(({ code, qualifier }) => code === given.code && qualifier === given.qualifier)
      expect([row?.target ?? null, row?.relation]).toEqual([expected.dc03, expected.relation])
    },
  )
})

describe('a signal of a trouble', () => {
  test('is a finding of its condition', async () => {
    expect(await shown('1301 00 000')).toEqual(['condition/mains-missing present -'])
    expect(await shown('NAT00')).toEqual(['condition/mains-missing present -'])
  })

  test('that was restored is absent', async () => {
    expect(await shown('1301 00 000\n3301 00 000')).toEqual(['condition/mains-missing absent -'])
    expect(await shown('NAT\nNAR')).toEqual(['condition/mains-missing absent -'])
  })

  test('that came back stands', async () => {
    expect(await shown('1301 00 000\n3301 00 000\n1301 00 000')).toEqual(['condition/mains-missing present -'])
  })

  test('counts once, however often and in whichever standard it was sent', async () => {
    expect(await shown('1301 00 000\n1301 00 000\n6301 00 000\nNAT\nOAT')).toEqual([
      'condition/mains-missing present -',
    ])
  })

  test('stands if one of two codes for it stands', async () => {
    expect(await shown('1301 00 000\nNAT\n3301 00 000')).toEqual(['condition/mains-missing present -'])
    expect(await shown('3301 00 000\nNAT')).toEqual(['condition/mains-missing present -'])
  })

  test('is of the zone that it names, where its condition belongs to a device', async () => {
    expect(await shown('1381 01 012\n1381 01 013\n3381 01 012')).toEqual([
      'condition/radio-device-missing absent area 1 zone 12',
      'condition/radio-device-missing present area 1 zone 13',
    ])
    expect(await shown('1301 00 001')).toEqual(['condition/mains-missing present -'])
  })

  test('of a part of a condition says nothing of the whole when it ends', async () => {
    expect(await shown('1321 00 001')).toEqual(['condition/sounder-circuit-trouble present -'])
    expect(await reasons('1321 00 001\n3321 00 001')).toEqual(['321 part-restored'])
  })

  test('carries its moment, its code and its account', async () => {
    const { findings } = await found('2027-02-28T03:15:20Z [#4321|1301 00 000]')
    expect(findings).toMatchObject([{ observedAt: '2027-02-28T03:15:20Z', source: 'dc-05 301, account 4321' }])
  })
})

describe('a signal that is no finding', () => {
  test.each([
    ['3401 01 007', '401 no-trouble'],
    ['1602 00 000', '602 no-trouble'],
    ['1607 00 001', '607 no-trouble'],
    ['1131 01 015', '131 alarm'],
    ['1335 00 001', '335 no-equivalent'],
    ['1384 00 001', '384 several-conditions'],
    ['1358 00 001', '358 unknown-code'],
    ['1999 00 001', '999 unknown-code'],
    ['NYR', 'YR no-trouble'],
  ])('%s is named with its reason', async (line, reason) => {
    expect(await reasons(line)).toEqual([reason])
    expect(await shown(line)).toEqual([])
  })

  test('names its lines and the conditions that it may stand for', async () => {
    const { unmapped } = await found('\n1384 00 001\n\n1384 00 001')
    expect(unmapped).toMatchObject([{ lines: [2, 4], address: { of: 'zone', number: '001' } }])
    expect(unmapped[0]!.candidates).toContain('condition/radio-sensor-battery-low')
  })
})

test('an unknown code is read as its block where that stands for one condition, unless strictly', async () => {
  expect(await shown('1318 00 000')).toEqual(['condition/unspecified-trouble present -'])
  expect(await reasons('1318 00 000', true)).toEqual(['318 unknown-code'])
})

test('findings and devices stay within what one diagnosis takes, and the rest is named', async () => {
  const zones = Array.from({ length: 5 }, (_, at) => `1381 00 00${at + 1}`).join('\n')
  const devices = await found(`${zones}\n1301 00 000`, { limits: { findings: 200, devices: 3 } })
  expect(devices.findings.map(({ device }) => device)).toEqual(['zone 1', 'zone 2', 'zone 3', undefined])
  expect(devices.unmapped.map(({ reason }) => reason)).toEqual(['over-the-limit', 'over-the-limit'])
  const few = await found(`${zones}\n1301 00 000`, { limits: { findings: 2, devices: 64 } })
  expect([few.findings.length, few.unmapped.length]).toEqual([2, 4])
})

const codes = release.ontology.crosswalks.flatMap(({ scheme, codes: list }) =>
  list.map(({ code }) => ({ scheme, code })),
)
const anyLine = fc
  .record({
    code: fc.constantFrom(...codes.filter(({ scheme }) => scheme !== 'en-50131-1')),
    qualifier: fc.constantFrom('1', '3', '6'),
    area: fc.integer({ min: 0, max: 9 }),
    number: fc.integer({ min: 0, max: 30 }),
    stamp: fc.constantFrom('', '2027-02-28T03:15:20Z ', '2028-02-29 23:59:59-11:30 '),
  })
  .map(({ code: { scheme, code }, qualifier, area, number, stamp }) =>
    scheme === 'dc-05'
      ? `${stamp}${qualifier}${code} 0${area} ${String(number).padStart(3, '0')}`
      : `${stamp}${qualifier === '6' ? 'O' : 'N'}ri${area}/${code}${number}`,
  )

test('whatever codes come, findings fit a diagnosis, and nothing is dropped in silence', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(anyLine, { minLength: 1, maxLength: 40 }), async (lines) => {
      const { findings, unmapped } = await found(lines.join('\n'))
      for (const finding of findings)
        expect(FindingSchema.safeParse(finding).success, JSON.stringify(finding)).toBe(true)
      const facts = findings.map(({ condition, device }) => `${condition} ${device}`)
      expect(new Set(facts).size).toBe(facts.length)
      expect(findings.length + unmapped.length).toBeGreaterThan(0)
    }),
    { numRuns: 300 },
  )
})

test('every code of the tables alone is either a finding or unmapped', async () => {
  const outcomes = { findings: 0, unmapped: 0 }
  for (const { scheme, code } of codes) {
    if (scheme === 'en-50131-1') continue
    const { findings, unmapped } = await found(scheme === 'dc-05' ? `1${code} 00 001` : `N${code}1`)
    expect(findings.length + unmapped.length, `${scheme} ${code}`).toBe(1)
    outcomes.findings += findings.length
    outcomes.unmapped += unmapped.length
  }
  console.info(`codes alone: ${JSON.stringify(outcomes)}`)
})
