import type { CompiledCondition } from './compiled.ts'

/** Kinds of loss, the gravest first. */
export const LOSS: readonly CompiledCondition['severity'][] = ['life-safety', 'security-lost', 'degraded', 'nuisance']
