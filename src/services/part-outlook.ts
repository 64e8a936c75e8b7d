import { shownProbability, wordFor } from '../domain/advice/wording-scale.ts'
import { outlookOf, type StandingCause } from '../domain/parts/roots.ts'
import type { Release } from '../ontology/release.ts'
import type { Cause } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

/** What a diagnosis found, as far as it bears on a part. */
export interface DiagnosisContext {
  causes: readonly StandingCause[]
  /** Remedy that the part is bought for; every remedy that needs the part when left out. */
  remedy?: string
}

const MOST_REMEDIES = 3

/** Causes that are removed by the remedy, or by any that needs the part. */
function curedBy({ ontology }: Release, partClass: string | undefined, remedy: string | undefined): Set<string> {
  const remedies = ontology.remedy.filter(({ id, partClasses }) =>
    remedy === undefined ? partClass !== undefined && partClasses.includes(partClass) : id === remedy,
  )
  return new Set(remedies.flatMap(({ fixes }) => fixes.map(({ cause }) => cause)))
}

function remediesFor(wording: Wording, cause: string) {
  return wording.release.ontology.remedy
    .filter(({ fixes }) => fixes.some((fix) => fix.cause === cause))
    .slice(0, MOST_REMEDIES)
    .map(({ id }) => ({ remedy: id, label: wording.label(id) }))
}

function wordCause(wording: Wording, { cause, probability }: StandingCause) {
  return {
    cause,
    label: wording.label(cause),
    probability,
    shown: shownProbability(probability),
    word: wordFor(probability),
    remedies: remediesFor(wording, cause),
  }
}

const UNTIL = 'Until it is put right, a new part fails again.'

/** Roots to be cured before the part is fitted, and likely causes that it does nothing for; both said before any part. */
export function wordOutlook(wording: Wording, partClass: string | undefined, { causes, remedy }: DiagnosisContext) {
  const { release } = wording
  const known = causes.filter(({ cause }) => release.concepts.get(cause)?.kind === 'cause')
  const rootOf = (cause: string) => wording.concept<Cause>(cause).rootOf
  const { roots, notCured } = outlookOf(known, curedBy(release, partClass, remedy), rootOf)
  return {
    roots: roots.map(({ brings, ...root }) => {
      const { again } = wording.concept<Cause>(root.cause)
      return {
        ...wordCause(wording, root),
        say: `First: ${wording.label(root.cause)}. ${again ? wording.say(again.say) : UNTIL}`,
        brings: brings.map((cause) => ({ cause, label: wording.label(cause) })),
        basis: again?.source ?? again?.basis ?? 'judgement',
      }
    }),
    notCured: notCured.map((one) => wordCause(wording, one)),
    notJudged: causes.filter((one) => !known.includes(one)).map(({ cause }) => cause),
  }
}
