import type { NumberRead } from './numbers.ts'
import type { Certainty, Family, ReadValue } from './types.ts'
import type { Dimension } from './unit-forms.ts'

/** What stands in a text before it is known what kind of part it is about. */
export type Token =
  | {
      kind: 'quantity'
      dimension: Dimension
      unit: string
      current?: 'ac' | 'dc'
      form: 'one' | 'range' | 'list'
      numbers: readonly NumberRead[]
      /** Hour rate behind a capacity. */
      hours?: number
      /** Distance behind a sound level [m]. */
      distanceM?: number
      role?: 'input' | 'output' | 'gap'
    }
  | { kind: 'measures'; numbers: readonly NumberRead[]; bracket?: NumberRead; unit?: string }
  | { kind: 'letters'; ohm: number; toleranceFraction?: number; isMega: boolean; code: string }
  | { kind: 'fuse'; speed: string; ratedCurrentA: number; breakingCapacity?: string; voltageV?: number }
  | { kind: 'letter'; letter: string }
  | { kind: 'fact'; fact: Fact }
  | { kind: 'pack'; count: number; side: 'behind' | 'before' | 'stated' }
  | { kind: 'gauge-pair'; gauge: number; count: number }
  | { kind: 'strands'; count: number; diameterMm: number }
  | { kind: 'cores'; count: number }
  | { kind: 'cores-of-area'; count: number; areaMm2: number }
  | { kind: 'cell-name'; name: string; designations: readonly string[]; isAlsoAmperes: boolean }
  | { kind: 'part-size'; name: string }
  | { kind: 'kind-of-part'; family: Family }

export interface Fact {
  name: string
  value: ReadValue
  rule: string
  certainty: Certainty
  candidates?: readonly ReadValue[]
  question?: string
  /** Kinds of part that it is said of; all when absent. Elsewhere the word stays a word. */
  families?: readonly Family[]
  /** Kind of part that it speaks for. */
  evidence?: Family
}

export interface Placed {
  token: Token
  /** Place in the normalised text. */
  start: number
  end: number
}
/** A rule may begin wherever its pattern matches; it then decides by itself. */
export interface PatternRule {
  pattern: RegExp
  read: Rule
}
export type Rule = (text: string, at: number, decimalMark?: '.' | ',') => { token: Token; end: number } | undefined
