import type { LanguagePack } from '../ontology/language.ts'
import type { Release } from '../ontology/release.ts'
import { isServable, isWarning } from '../ontology/safety-text.ts'
import type { Check, Text } from '../ontology/shape.ts'

export const ENGLISH = ['en-US', 'en-GB'] as const
export type English = (typeof ENGLISH)[number]

/** The words an answer is given in: English, or another language's names, questions and results with English for the rest. */
export interface ServedLanguage {
  /** BCP 47 tag of what is served. */
  tag: string
  english: English
  pack?: LanguagePack
}

/** Tags that a release can serve, English first. */
export function languagesOf({ manifest }: Release): string[] {
  return [...ENGLISH, ...(manifest.languages ?? []).map(({ language }) => language)]
}

/** The tag that a wish leads to: the tag itself, then its primary language, then en-US (RFC 4647 lookup, from memory). */
export function chooseTag(wish: string | undefined, offered: readonly string[]): string {
  const wanted = wish?.toLowerCase() ?? ''
  const primary = wanted.split('-')[0]!
  return (
    offered.find((tag) => tag.toLowerCase() === wanted) ??
    offered.find((tag) => tag.toLowerCase() === primary) ??
    offered.find((tag) => tag.toLowerCase().startsWith(`${primary}-`)) ??
    ENGLISH[0]
  )
}

/** The text in a variety of English. */
export function inEnglish(text: Text, english: English): string {
  return text[english] ?? text['en-US']
}

/** Everything that answers need to say about concepts, in one language. */
export class Wording {
  readonly release: Release
  readonly served: ServedLanguage

  constructor(release: Release, served: ServedLanguage) {
    this.release = release
    this.served = served
  }

  /** A concept of a known kind; throws when the release does not hold it, which is a fault of ours. */
  concept<T>(id: string): T {
    const found = this.release.concepts.get(id)
    if (!found) throw new Error(`${id} is not in release ${this.release.version}`)
    return found.concept as T
  }

  /** Texts that only English has: definitions, steps, cautions and everything else that safety hangs on. */
  say(text: Text): string {
    return inEnglish(text, this.served.english)
  }

  /** A name is no instruction, so it may come from any pack; one that is itself a warning may not. */
  label(id: string): string {
    const { pack } = this.served
    const concept = this.concept<{ id: string; label: Text }>(id)
    const isFit = !isWarning(concept) || (pack && isServable(pack, concept))
    return (isFit ? pack?.texts[id]?.label : undefined) ?? this.say(concept.label)
  }

  #translated(check: Check) {
    const { pack } = this.served
    return pack && isServable(pack, check) ? pack.texts[check.id] : undefined
  }

  ask(check: Check): string {
    return this.#translated(check)?.ask ?? this.say(check.ask)
  }

  result(check: Check, { id, label }: Check['results'][number]): string {
    return this.#translated(check)?.results?.[id] ?? this.say(label)
  }

  /** What an answer says about its language. */
  stated() {
    const { tag, english, pack } = this.served
    if (!pack) return { language: tag }
    return {
      language: tag,
      translation: {
        review: pack.review,
        covers: ['label', 'ask', 'results'],
        otherTexts: english,
        safetyTexts: pack.review === 'reviewed' ? tag : english,
      },
    }
  }
}
