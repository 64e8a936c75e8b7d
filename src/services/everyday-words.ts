import { WORDS_JSON } from '../ontology/generated/words.ts'
import type { EverydayWords } from '../ontology/words.ts'

let byLanguage: ReadonlyMap<string, EverydayWords> | undefined

/** How callers say it, by language; undefined for a language without words of its own. */
export function everydayWords(language: string): EverydayWords | undefined {
  byLanguage ??= new Map((JSON.parse(WORDS_JSON) as EverydayWords[]).map((words) => [words.language, words]))
  return byLanguage.get(language)
}
