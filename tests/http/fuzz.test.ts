import fc from 'fast-check'
import { expect, test } from 'vitest'
import { DUTIES } from '../../src/domain/power/duties.ts'
import { UNITS } from '../../src/domain/quantities/units.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { probe } from '../support/hostile.ts'

const SEED = 20260117
const { conditions, contexts, checks, readings } = currentRelease().compiled
const partClasses = [...currentRelease().concepts.values()].flatMap(({ kind, concept }) =>
  kind === 'part-class' ? [concept as { id: string; attributes: { name: string }[] }] : [],
)

const text = (maxLength: number, minLength = 0) => fc.string({ unit: 'grapheme', minLength, maxLength })
/** Mostly what the ontology knows, now and then anything. */
const known = (ids: readonly string[]) =>
  fc.oneof({ weight: 60, arbitrary: fc.constantFrom(...ids) }, { weight: 1, arbitrary: text(60, 3) })
const anyNumber = fc.double({ noNaN: true, noDefaultInfinity: true })
/** Of the wanted unit and of a common size, now and then of any unit and any size. */
const quantity = (units: string[], max: number, min = 0) =>
  fc.oneof(
    {
      weight: 30,
      arbitrary: fc.record({ value: fc.double({ min, max, noNaN: true }), unit: fc.constantFrom(...units) }),
    },
    {
      weight: 1,
      arbitrary: fc.record({ value: anyNumber, unit: fc.constantFrom(...UNITS.flatMap(({ spellings }) => spellings)) }),
    },
  )

const common = {
  id: text(20),
  device: fc.constantFrom('hall', 'garage', '__proto__'),
  reliability: fc.double({ min: 0.5, max: 1, noNaN: true }),
  tense: fc.constantFrom('now', 'earlier'),
  observedAt: fc
    .date({ min: new Date('2000-01-01'), max: new Date('2100-01-01'), noInvalidDate: true })
    .map((date) => date.toISOString()),
  source: text(20),
}
const finding = (fields: Record<string, fc.Arbitrary<unknown>>) =>
  fc.tuple(fc.record(fields), fc.record(common, { requiredKeys: [] })).map(([own, shared]) => ({ ...own, ...shared }))

const answers = fc
  .constantFrom(...checks)
  .chain(({ id, results }) =>
    finding({ kind: fc.constant('answer'), check: fc.constant(id), result: known([...results, 'dont-know']) }),
  )
const readingFindings = fc.constantFrom(...readings).chain(({ id, unit, validLow, validHigh }) =>
  finding({
    kind: fc.constant('reading'),
    reading: fc.constant(id),
    quantity: quantity([unit], validHigh, validLow),
  }).chain((plain) =>
    fc
      .record(
        {
          meter: fc.record({
            percentOfReading: fc.double({ min: 0, max: 100, noNaN: true }),
            digits: fc.double({ min: 0, max: 1000, noNaN: true }),
            resolution: quantity([unit], 1),
          }),
        },
        { requiredKeys: [] },
      )
      .map((meter) => ({ ...plain, ...meter })),
  ),
)
const findings = fc.array(
  fc.oneof(
    finding({
      kind: fc.constant('condition'),
      condition: known(conditions.map(({ id }) => id)),
      state: fc.constantFrom('present', 'absent'),
    }),
    answers,
    readingFindings,
    finding({
      kind: fc.constant('context'),
      context: known(contexts.map(({ id }) => id)),
      state: fc.constantFrom('holds', 'does-not-hold'),
    }),
    finding({ kind: fc.constant('screen'), complete: fc.boolean() }),
  ),
  { maxLength: 12 },
)
const diagnoseRequest = fc.record(
  {
    findings,
    release: fc.oneof(
      { weight: 20, arbitrary: fc.constantFrom('0.1.0', currentRelease().version) },
      { weight: 1, arbitrary: text(32) },
    ),
    language: fc.constantFrom('en-US', 'en-GB', 'de', 'es-MX'),
    limits: fc.record(
      {
        who: fc.constantFrom('caller', 'handy', 'technician'),
        tools: fc.array(fc.constantFrom('multimeter', 'tape', 'ladder', 'constructor'), { maxLength: 4 }),
        duration: quantity(['min', 'h'], 100),
      },
      { requiredKeys: [] },
    ),
  },
  { requiredKeys: ['findings'] },
)

const sizeRequest = fc.record(
  {
    loads: fc.array(
      fc.record(
        {
          label: text(20),
          quantity: fc.double({ min: 0, max: 10_000, noNaN: true }),
          standbyCurrent: quantity(['A', 'mA'], 5),
          alarmCurrent: quantity(['A', 'mA'], 10),
        },
        { requiredKeys: ['standbyCurrent'] },
      ),
      { minLength: 1, maxLength: 6 },
    ),
    duty: fc.constantFrom(...DUTIES.map(({ id }) => id)),
    standbyDuration: quantity(['h', 'min', 'd'], 100),
    alarmDuration: quantity(['h', 'min'], 10),
    nominalVoltage: fc.constantFrom(6, 12, 24, 48).map((value) => ({ value, unit: 'V' })),
    method: fc.constantFrom('load-charge', 'derated-alarm', 'sections'),
    exponent: fc.double({ min: 1, max: 2, noNaN: true }),
    ageingFactor: fc.double({ min: 1, max: 3, noNaN: true }),
    designFactor: fc.double({ min: 1, max: 3, noNaN: true }),
    temperature: quantity(['Cel'], 50),
    limits: fc.record(
      {
        maximumCapacity: quantity(['Ah'], 50),
        supplyCurrent: quantity(['A'], 5),
        chargeLimit: quantity(['A'], 5),
        rechargeDuration: quantity(['h'], 100),
        rechargeFraction: fc.double({ min: 0.1, max: 1, noNaN: true }),
      },
      { requiredKeys: [] },
    ),
  },
  { requiredKeys: ['loads'] },
)

const value = fc.oneof(anyNumber, fc.constantFrom(1, 6, 7, 12), text(20), fc.boolean())
const matchRequest = fc.constantFrom(...partClasses).chain(({ id, attributes }) => {
  const attribute = fc.constantFrom(...attributes.map(({ name }) => name), 'somethingElse', 'partClass')
  const itemValue = fc.oneof(value, fc.record({ min: anyNumber, max: anyNumber }))
  const constraint = fc.record(
    {
      attribute,
      op: fc.constantFrom('eq', 'in', 'min', 'max', 'range', 'covers'),
      value: fc.oneof(value, fc.array(value, { minLength: 1, maxLength: 4 })),
      to: anyNumber,
      kind: fc.constantFrom('hard', 'soft'),
      isSafety: fc.boolean(),
      origin: text(20),
    },
    { requiredKeys: ['attribute', 'op', 'value'] },
  )
  const item = fc.record(
    {
      sku: text(20, 1),
      partClass: fc.constantFrom(id, 'part-class/other'),
      title: text(20),
      attributes: fc.dictionary(attribute, itemValue, { maxKeys: 5, noNullPrototype: true }),
      stock: fc.nat(),
      packQuantity: fc.integer({ min: 1, max: Number.MAX_SAFE_INTEGER }),
      priceMinor: fc.integer({ min: 0, max: Number.MAX_SAFE_INTEGER }),
      currency: fc.constantFrom('EUR', 'XXX'),
    },
    { requiredKeys: ['sku', 'partClass', 'title', 'attributes'] },
  )
  return fc.record(
    {
      partClass: known([id]),
      constraints: fc.array(constraint, { maxLength: 5 }),
      items: fc.array(item, { maxLength: 8 }),
      quantity: fc.integer({ min: 1, max: 100_000 }),
      adaptersAllowed: fc.boolean(),
      limit: fc.integer({ min: 1, max: 50 }),
    },
    { requiredKeys: ['partClass', 'constraints', 'items'] },
  )
})

/** Answers its schema or a problem, whatever is sent; at least one request in twenty is answered, so that both are seen. */
async function fuzz(path: string, request: fc.Arbitrary<unknown>, numRuns: number): Promise<void> {
  const counts: Record<string, number> = {}
  await fc.assert(
    fc.asyncProperty(request, async (body) => {
      const { status, body: answer } = await probe('POST', path, { text: JSON.stringify(body) })
      const outcome = status === 200 ? '200' : answer.code
      counts[outcome] = (counts[outcome] ?? 0) + 1
      expect([200, 422], JSON.stringify(answer)).toContain(status)
    }),
    { seed: SEED, numRuns },
  )
  console.info(path, JSON.stringify(counts))
  expect(counts['200']).toBeGreaterThan(numRuns / 20)
}

test('any diagnosis is answered or refused with a problem', () => fuzz('/v1/diagnose', diagnoseRequest, 600))
test('any battery is sized or refused with a problem', () => fuzz('/v1/battery/size', sizeRequest, 2000))
test('any match is answered or refused with a problem', () => fuzz('/v1/parts/match', matchRequest, 1500))

test.each(['/v1/diagnose', '/v1/battery/size', '/v1/parts/match'])('any JSON at all is refused by %s', async (path) => {
  await fc.assert(
    fc.asyncProperty(fc.json({ maxDepth: 6 }), async (body) => {
      expect((await probe('POST', path, { text: body })).status).toBe(422)
    }),
    { seed: SEED, numRuns: 300 },
  )
})
