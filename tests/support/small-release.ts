import type {
  CompiledCause,
  CompiledCheck,
  CompiledCondition,
  CompiledContext,
  CompiledEffect,
  CompiledRelease,
  CompiledRemedy,
} from '../../src/domain/advice/compiled.ts'
import type {
  AnswerFinding,
  ConditionFinding,
  ContextFinding,
  ScreenFinding,
  TriedFinding,
} from '../../src/domain/findings/finding.ts'

/** An invented release small enough to follow by hand. Its numbers are round and measure nothing. */

const cause = (id: string, prior: number, rest: Partial<CompiledCause> = {}): CompiledCause => ({
  id,
  family: 'family/small',
  prior,
  isPerDevice: false,
  excludedBy: [],
  rootOf: [],
  isOther: false,
  ...rest,
})

const effect = (id: string, leak: number, links: Record<number, number>, isPerDevice = false): CompiledEffect => ({
  id,
  isPerDevice,
  leak: [1 - leak, leak],
  links: Object.entries(links).map(([index, share]) => ({ cause: Number(index), levels: [1 - share, share] })),
})

const condition = (id: string, index: number): CompiledCondition => ({
  id,
  family: 'family/small',
  severity: 'degraded',
  isOnDisplay: true,
  effect: index,
})

const context = (id: string, rest: Partial<CompiledContext> = {}): CompiledContext => ({
  id,
  share: 0.5,
  shifts: [],
  ...rest,
})

const STEP = {
  who: 'caller',
  place: 'indoors',
  minutes: 1,
  waitMinutes: 0,
  tools: [],
  hazards: [],
  disturbs: [],
  requires: [],
} satisfies Partial<CompiledCheck>

const check = (id: string, rest: Pick<CompiledCheck, 'results' | 'model'> & Partial<CompiledCheck>): CompiledCheck => ({
  id,
  isPerDevice: false,
  ...STEP,
  ...rest,
})

const remedy = (id: string, fixes: Record<number, number>, rest: Partial<CompiledRemedy> = {}): CompiledRemedy => ({
  id,
  ...STEP,
  cost: 'none',
  lowersSecurity: false,
  fixes: Object.entries(fixes).map(([index, probability]) => ({ cause: Number(index), probability })),
  partClasses: [],
  ...rest,
})

/** Where things stand in the small release. */
export const CAUSE = { batteryWorn: 0, supplyDead: 1, otherSmall: 2, radioCell: 3, dampCell: 4 } as const
export const EFFECT = { batteryLow: 0, supplyMissing: 1, radioLow: 2 } as const

const yesNo = (index: number) => ({ kind: 'observation' as const, effect: index, levels: ['no', 'yes'] })

/** A fresh copy each time, so that no test can see what another did to it. */
export function smallRelease(change: Partial<CompiledRelease> = {}): CompiledRelease {
  return {
    version: 'small',
    causes: [
      cause('cause/battery-worn', 0.05),
      cause('cause/supply-dead', 0.04, { excludedBy: [2], rootOf: [0] }),
      cause('cause/other-small', 0.01, { isOther: true }),
      cause('cause/radio-cell', 0.05, { isPerDevice: true }),
      cause('cause/radio-damp', 0.02, { isPerDevice: true }),
    ],
    effects: [
      effect('condition/battery-low', 0.001, { 0: 0.9, 1: 0.7, 2: 0.5 }),
      effect('condition/supply-missing', 0.001, { 1: 0.95, 2: 0.2 }),
      effect('condition/radio-low', 0.001, { 3: 0.9, 4: 0.4 }, true),
      effect('check/lamp-off', 0.02, { 1: 0.9 }),
      effect('check/case-bulged', 0.01, { 0: 0.6 }),
      effect('reading/rest-voltage#low', 0.02, { 0: 0.8 }),
      effect('reading/rest-voltage#high', 0.01, { 2: 0.5 }),
    ],
    conditions: [
      condition('condition/battery-low', EFFECT.batteryLow),
      condition('condition/supply-missing', EFFECT.supplyMissing),
      condition('condition/radio-low', EFFECT.radioLow),
    ],
    contexts: [
      context('context/on-test', { dimension: 'monitoring', share: 0.3 }),
      context('context/not-on-test', { dimension: 'monitoring', share: 0.7 }),
      context('context/no-supply', { dimension: 'supply', share: 0.1 }),
      context('context/old-battery', { dimension: 'age', share: 0.04, shifts: [{ cause: 0, factor: 20 }] }),
      context('context/hot-room', { share: 0.05, shifts: [{ cause: 0, factor: 10 }] }),
      context('context/new-paint', { share: 0.2, shifts: [{ cause: 0, factor: 0.1 }] }),
      context('context/water-about', { share: 0.05 }),
    ],
    readings: [
      {
        id: 'reading/rest-voltage',
        unit: 'V',
        validLow: 0,
        validHigh: 20,
        meterPercent: 0.5,
        meterAbsolute: 0.01,
        edges: [12, 14],
        bands: ['low', 'healthy', 'high'],
        healthy: 1,
        low: 5,
        high: 6,
      },
    ],
    checks: [
      check('check/lamp-off', { results: ['no', 'yes'], model: yesNo(3) }),
      check('check/case-bulged', { results: ['no', 'yes'], model: yesNo(4), disturbs: ['cover'], hazards: [0] }),
      check('check/rest-voltage', {
        results: ['low', 'healthy', 'high'],
        model: { kind: 'reading', reading: 0 },
        minutes: 5,
        tools: ['multimeter'],
      }),
      check('check/ask-on-test', {
        results: ['yes', 'no'],
        model: {
          kind: 'applicability',
          sets: [
            { result: 'yes', context: 0 },
            { result: 'no', context: 1 },
          ],
        },
      }),
      check('check/read-list', {
        results: ['all-read', 'more-left'],
        model: { kind: 'reveals', complete: 'all-read' },
      }),
      check('check/smell', { results: ['yes', 'no'], model: { kind: 'danger', hazard: 1, sign: 'yes' } }),
      check('check/radio-near', { results: ['no', 'yes'], model: yesNo(2), isPerDevice: true }),
    ],
    remedies: [
      remedy('remedy/replace-battery', { 0: 0.98 }, { partClasses: ['part-class/battery'] }),
      remedy('remedy/replace-supply', { 1: 0.98 }, { minutes: 60, cost: 'high' }),
      remedy('remedy/replace-radio-cell', { 3: 0.98 }),
    ],
    hazards: [
      { id: 'hazard/shock', stopIf: [6] },
      { id: 'hazard/fire', stopIf: [] },
    ],
    gates: [{ id: 'on-test', disturbs: ['cover'], needs: [0], ask: 3 }],
    ...change,
  }
}

/** Freezes a record and all it holds, so that any write to it throws. */
export function deepFrozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value)
    for (const part of Object.values(value)) deepFrozen(part)
  }
  return value
}

type Said<F> = Partial<Omit<F, 'kind'>>

export const present = (id: string, rest: Said<ConditionFinding> = {}): ConditionFinding => ({
  kind: 'condition',
  condition: `condition/${id}`,
  state: 'present',
  ...rest,
})
export const absent = (id: string, rest: Said<ConditionFinding> = {}) => present(id, { state: 'absent', ...rest })
export const answered = (id: string, result: string, rest: Said<AnswerFinding> = {}): AnswerFinding => ({
  kind: 'answer',
  check: `check/${id}`,
  result,
  ...rest,
})
export const holds = (id: string, rest: Said<ContextFinding> = {}): ContextFinding => ({
  kind: 'context',
  context: `context/${id}`,
  state: 'holds',
  ...rest,
})
export const allRead: ScreenFinding = { kind: 'screen', complete: true }
export const tried = (id: string, result: TriedFinding['result'], rest: Said<TriedFinding> = {}): TriedFinding => ({
  kind: 'tried',
  remedy: `remedy/${id}`,
  result,
  ...rest,
})
