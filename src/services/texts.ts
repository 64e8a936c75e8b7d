import type { Release } from '../ontology/release.ts'
import type { Text } from '../ontology/shape.ts'

export const LANGUAGES = ['en-US', 'en-GB'] as const
export type Language = (typeof LANGUAGES)[number]

/** The text in the language, in en-US where the language has no words of its own. */
export function inLanguage(text: Text, language: Language): string {
  return text[language] ?? text['en-US']
}

/** Everything that answers need to say about concepts, in one language. */
export class Wording {
  readonly release: Release
  readonly language: Language

  constructor(release: Release, language: Language) {
    this.release = release
    this.language = language
  }

  /** A concept of a known kind; throws when the release does not hold it, which is a fault of ours. */
  concept<T>(id: string): T {
    const found = this.release.concepts.get(id)
    if (!found) throw new Error(`${id} is not in release ${this.release.version}`)
    return found.concept as T
  }

  say(text: Text): string {
    return inLanguage(text, this.language)
  }

  label(id: string): string {
    return this.say(this.concept<{ label: Text }>(id).label)
  }
}
