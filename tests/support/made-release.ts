import { advise } from '../../src/domain/advice/advise.ts'
import type {
  CompiledCause,
  CompiledCheck,
  CompiledCondition,
  CompiledRelease,
  CompiledRemedy,
} from '../../src/domain/advice/compiled.ts'
import type { Finding, Limits } from '../../src/domain/findings/finding.ts'
import { smallRelease } from './small-release.ts'

type Links = Record<string, number>
interface Shown {
  links: Links
  leak?: number
}
/** A release in a few words, by name: causes, the items they show, questions that speak of them and what removes them. */
export interface Made {
  causes: Record<string, Partial<CompiledCause>>
  conditions: Record<string, Shown & Partial<CompiledCondition>>
  checks?: Record<string, Shown & Partial<CompiledCheck>>
  remedies: Record<string, { removes: Links } & Partial<CompiledRemedy>>
}

const base = smallRelease()
const chance = (share: number) => [1 - share, share]

/** The release itself; its numbers measure nothing. */
export function madeRelease({ causes, conditions, checks = {}, remedies }: Made): CompiledRelease {
  const names = Object.keys(causes)
  const shown = [...Object.entries(conditions), ...Object.entries(checks)]
  const count = Object.keys(conditions).length
  return {
    ...base,
    causes: Object.entries(causes).map(([name, rest]) => ({
      ...base.causes[0]!,
      id: `cause/${name}`,
      prior: 0.02,
      rootOf: [],
      ...rest,
    })),
    effects: shown.map(([name, { links, leak = 0.001 }], at) => ({
      id: `${at < count ? 'condition' : 'check'}/${name}`,
      isPerDevice: false,
      leak: chance(leak),
      links: Object.entries(links).map(([cause, q]) => ({ cause: names.indexOf(cause), levels: chance(q) })),
    })),
    conditions: Object.entries(conditions).map(([name, { links: _, leak: __, ...rest }], effect) => ({
      ...base.conditions[0]!,
      id: `condition/${name}`,
      effect,
      ...rest,
    })),
    contexts: [],
    readings: [],
    checks: Object.entries(checks).map(([name, { links: _, leak: __, ...rest }], at) => ({
      ...base.checks[0]!,
      id: `check/${name}`,
      model: { kind: 'observation', effect: count + at, levels: ['no', 'yes'] },
      ...rest,
    })),
    remedies: Object.entries(remedies).map(([name, { removes, ...rest }]) => ({
      ...base.remedies[1]!,
      id: `remedy/${name}`,
      minutes: 5,
      cost: 'none',
      fixes: Object.entries(removes).map(([cause, probability]) => ({ cause: names.indexOf(cause), probability })),
      ...rest,
    })),
    hazards: [],
    gates: [],
  }
}

/** What is advised on such a release, with its plan and next checks by name. */
export function adviseOn(made: Made, findings: readonly Finding[], limits: Limits = { who: 'caller', tools: [] }) {
  const release = madeRelease(made)
  const advice = advise({ release, findings, limits })
  const nameOf = (id: string) => id.slice(id.indexOf('/') + 1)
  return {
    ...advice,
    planned: advice.plan.map(({ remedy }) => nameOf(release.remedies[remedy]!.id)),
    asked: advice.searched.checks.map(({ check }) => nameOf(release.checks[check]!.id)),
  }
}
