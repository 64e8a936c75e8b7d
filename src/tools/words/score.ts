import { type Interpretation, interpret } from '../../domain/words/interpret.ts'
import type { PreparedLexicon } from '../../domain/words/prepare.ts'
import type { Case } from '../cases/case.ts'
import type { Utterance } from './utterances.ts'

/** Suggestions that a person at the desk sees without scrolling. */
const FIRST = 5

export interface Heard {
  utterance: Utterance
  answer: Interpretation
  /** Ids suggested as present, dangers first. */
  ids: string[]
}

export function hear(lexicon: PreparedLexicon, utterance: Utterance): Heard {
  const answer = interpret(lexicon, utterance.text)
  const present = [...answer.dangers, ...answer.suggestions].filter(({ state }) => state === 'present')
  return { utterance, answer, ids: present.map(({ id }) => id) }
}

/** A written call as an utterance: of what is wrong it need not say everything, so this is the harder measure. */
export function asUtterance({ call, conditions }: Case): Utterance {
  return { text: call, expect: [...new Set(conditions.map(({ condition }) => condition))] }
}

/** Conditions alone: what else a call tells of its circumstances is not written down for each of them. */
export function hearCall(lexicon: PreparedLexicon, one: Case): Heard {
  const heard = hear(lexicon, asUtterance(one))
  const ids = heard.ids.filter((id) => id.startsWith('condition/'))
  return { ...heard, ids }
}

export interface WordScore {
  utterances: number
  /** Of the first suggestions, how many are meant. */
  precisionFirst: number
  /** Of what is meant, how much is among the first five. */
  recallFirstFive: number
  /** Of the signs of danger that are meant, how many are listed. */
  recallDangers: number
  /** Of what is denied, how much is not suggested. */
  denied: number
  /** Utterances that speak of nothing known and get no suggestion. */
  silent: number
}

const share = (list: readonly boolean[]) => (list.length === 0 ? Number.NaN : list.filter(Boolean).length / list.length)
const isDanger = (id: string) => id.startsWith('check/danger-')

export function scoreOf(heard: readonly Heard[]): WordScore {
  const first = heard.filter(({ ids }) => ids.length > 0)
  const each = (of: (one: Heard) => boolean[]) => share(heard.flatMap(of))
  return {
    utterances: heard.length,
    precisionFirst: share(first.map(({ ids, utterance }) => utterance.expect.includes(ids[0]!))),
    recallFirstFive: each(({ ids, utterance }) => utterance.expect.map((id) => ids.slice(0, FIRST).includes(id))),
    recallDangers: each(({ ids, utterance }) => utterance.expect.filter(isDanger).map((id) => ids.includes(id))),
    denied: each(({ ids, utterance }) => (utterance.negated ?? []).map((id) => !ids.includes(id))),
    silent: each(({ ids, utterance }) => (utterance.expect.length === 0 ? [ids.length === 0] : [])),
  }
}
