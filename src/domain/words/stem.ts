const hasVowel = (word: string) => /[aeiouy]/.test(word)
const withoutDouble = (word: string) => (/([bdfgmnprt])\1$/.test(word) ? word.slice(0, -1) : word)

function withoutPlural(word: string): string {
  if (word.length > 4 && word.endsWith('ies')) return `${word.slice(0, -3)}y`
  if (word.length > 4 && /(?:s|x|z|ch|sh)es$/.test(word)) return word.slice(0, -2)
  return word.length > 3 && /[^suiy]s$/.test(word) ? word.slice(0, -1) : word
}

function withoutEnding(word: string): string {
  const ending = word.length > 5 && word.endsWith('ing') ? 3 : word.length > 4 && word.endsWith('ed') ? 2 : 0
  const rest = word.slice(0, word.length - ending)
  return ending > 0 && hasVowel(rest) ? withoutDouble(rest) : word
}

/**
 * The part of an English word that its plural, -ing and -ed share; a last "e" goes as well, so that "charge" and "charging"
 * meet. Not for reading: it is often no word.
 *
 * @param word - lower case
 * @validity English; harmless elsewhere, as both sides of a comparison are cut alike
 * @source own-derivation
 * @example stem('batteries') // 'battery'
 */
export function stem(word: string): string {
  if (word.length < 4) return word
  const cut = withoutEnding(withoutPlural(word))
  return cut.length > 3 && cut.endsWith('e') ? cut.slice(0, -1) : cut
}
