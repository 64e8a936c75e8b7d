/** What stands in place of something that must not be repeated or kept. */
export const PLACEHOLDERS = ['[e-mail]', '[phone]', '[address]', '[code]', '[number]'] as const

const EMAIL = /[\p{L}\d._%+-]{1,64}@[\p{L}\d.-]{1,253}/gu
const PHONE = /(?<![\d.,])\+?\(?\d[\d\s().\-/]{5,24}\d(?!\d)/g
const LONG_NUMBER = /(?<![\d.,])\d{5,}/g

const DIGIT_WORD = '(?:zero|oh|one|two|three|four|five|six|seven|eight|nine|double|triple)'
const SPOKEN_NUMBER = new RegExp(`\\b${DIGIT_WORD}(?:[\\s,-]{1,3}${DIGIT_WORD}){3,24}\\b`, 'giu')

const STREET =
  'street|st|road|rd|avenue|ave|lane|ln|boulevard|blvd|crescent|terrace|highway|hwy|parkway|pkwy|mews|drive|dr|court|ct|way|close|place|pl|square|sq|circle|row|hill|grove|gardens|trail'
/** Words that stand in an ordinary sentence between a figure and a street word, and never in the name of a street. */
const NOT_A_STREET =
  'a|an|and|are|at|by|can|do|does|did|down|for|from|has|have|in|is|it|its|my|no|not|of|off|on|only|or|our|out|over|please|shows|says|that|the|then|this|to|up|was|when|will|with|your|volts?|ohms?|amps?|wires?|minutes?|hours?|days?|years?|times?|sensors?|zones?|windows?|doors?'
const NAME_OF_STREET = `(?!(?:${NOT_A_STREET})\\b)\\p{L}[\\p{L}'\u2019.-]{0,30}`
const ADDRESSES: readonly RegExp[] = [
  new RegExp(
    `\\b\\d{1,5}\\s?[a-z]?[\\s,]{1,3}(?:${NAME_OF_STREET}\\s{1,3}){1,3}(?:${STREET})\\b(?!['\u2019]?\\p{L})`,
    'giu',
  ),
  /(?<![\p{L}\d])\p{L}{2,30}(?:stra(?:\u00df|ss)e|str\.|gasse|allee|platz)\s{1,3}\d{1,4}\s?[a-z]?(?!\p{L})/giu,
  /(?<!\d)\d{1,4}(?:\s?(?:bis|ter))?,?\s{1,3}(?:rue|avenue|boulevard|chemin|all\u00e9e|calle|avenida)\s{1,3}(?:(?:de|du|des|la|le|les|del|los|las)\s{1,3}){0,3}\p{L}{2,30}/giu,
  /(?<!\p{L})(?:calle|avenida|paseo|plaza)\s{1,3}(?:\p{L}{2,30}\s{1,3}){1,4}\d{1,4}/giu,
  /\b(?:apt|apartment|suite|p\.?o\.? box)\.?\s{0,3}#?\s?\d{1,6}[a-z]?\b/giu,
  /(?<![\p{L}\d])[A-Z]{1,2}\d[A-Z\d]?\s\d[A-Z]{2}(?![\p{L}\d])/gu,
]

const SECRET =
  '(?:codes?|pin|pins|pass\\s?codes?|pass\\s?words?|pass\\s?phrase|code\\s?word|secret\\s?word|safe\\s?word|duress\\s?(?:word|code)|login|kennwort|passwort|contrase\u00f1a|clave|mot de passe)'
const WORD_SECRET =
  '(?:pin|pass\\s?codes?|pass\\s?words?|pass\\s?phrase|code\\s?word|secret\\s?word|safe\\s?word|duress\\s?(?:word|code)|login|kennwort|passwort|contrase\u00f1a|mot de passe)'
const BETWEEN = '(?:[\\s:=#\'"\u201c]|is|was|are|it|its|number|no\\.|of|to|ist|es|est){1,8}'
/** A code that a display shows is no secret. */
const SHOWN = '(?<!(?:trouble|error|event|fault|report|display|status)\\s)'
/** What may follow "the password is" without being the password. */
const SAID_OF_A_SECRET =
  'not|wrong|right|correct|incorrect|blocked|refused|invalid|accepted|rejected|changed|lost|forgotten|gone|the|a|an|my|in|on|too|still|no|that|what|it|being|expired|required|needed|set|unknown'

const CODES: readonly RegExp[] = [
  new RegExp(`(${SHOWN}\\b${SECRET}${BETWEEN})\\d(?:[\\s-]?\\d){3,15}\\b`, 'giu'),
  new RegExp(`(\\b${WORD_SECRET}${BETWEEN})\\d(?:[\\s-]?\\d){2,15}\\b`, 'giu'),
  new RegExp(
    `(\\b${SECRET}${BETWEEN})(?![a-z]\\d{3}\\b)(?=[^\\s[]{0,30}\\d)(?=[^\\s[]{0,30}\\p{L})[^\\s[]{4,64}`,
    'giu',
  ),
  /(\b(?:type|typed|enter|entered|punch|punched|put|key|keyed|press|pressed|dial|dialed|dialled)\s{1,3}(?:in\s{1,3})?)\d(?:[\s-]?\d){3,15}\b/giu,
]
const CODE_BEFORE = new RegExp(
  `\\b\\d(?:[\\s-]?\\d){3,15}(?=\\s{1,3}(?:is|was|as|for)\\s{1,3}(?:my|the|our|his|her|a)?\\s{0,3}(?:user\\s|alarm\\s|master\\s)?${SECRET}\\b)`,
  'giu',
)
/** What goes on after a password of one word. */
const GOES_ON = 'and|but|so|or|it|is|which|please|now|the|then|there|if|because|when|since|i|we|my|our'
const VALUE = '[^\\s.,;!?[\\]]{1,64}'
const SPOKEN_SECRET = new RegExp(
  `(\\b${WORD_SECRET}(?:\\s{0,3}(?:(?:is|was|ist|est|es)(?!\\p{L})|=|:)\\s{0,3}|\\s{1,3}(?=["\u201c'])))(?!\\[)(?!(?:${SAID_OF_A_SECRET})\\b)(?:["\u201c'][^"\u201d'\\n]{1,60}["\u201d']|${VALUE}(?:\\s(?!(?:${GOES_ON})\\b)${VALUE})?)`,
  'giu',
)

const digitsIn = (text: string) => text.replace(/\D/g, '').length
/** Readings one after another, such as "11.4 12.1 10.2", are no telephone number. */
const isReadings = (text: string) => text.split(/\s+/).every((part) => /^\d{1,3}[.,]\d{1,2}$/.test(part))

/** Units of figures as long as a telephone number or an account; others are never that long. */
const UNIT_FOLLOWS = /^\s{0,3}(?:ohms?|[km]?[\u03a9\u2126]|k|m?v|m?volts?|ma|mah|k?hz)(?!\p{L})/iu

function replaced(text: string, pattern: RegExp, placeholder: string, isFit: (found: string) => boolean): string {
  return text.replace(pattern, (found: string, at: number) =>
    isFit(found) && !UNIT_FOLLOWS.test(text.slice(at + found.length)) ? placeholder : found,
  )
}

/** Steps in order: a code before a telephone number, that before the number of a house, any other long number last. */
const STEPS: readonly ((text: string) => string)[] = [
  (text) => text.replace(EMAIL, '[e-mail]'),
  ...CODES.map((pattern) => (text: string) => text.replace(pattern, '$1[code]')),
  (text) => text.replace(CODE_BEFORE, '[code]'),
  (text) => text.replace(SPOKEN_SECRET, '$1[code]'),
  (text) => replaced(text, PHONE, '[phone]', (found) => digitsIn(found) >= 7 && !isReadings(found)),
  ...ADDRESSES.map((pattern) => (text: string) => text.replace(pattern, '[address]')),
  (text) => replaced(text, LONG_NUMBER, '[number]', () => true),
  (text) => text.replace(SPOKEN_NUMBER, '[number]'),
]

/**
 * The text without what identifies a person or opens a door: e-mail addresses, telephone numbers, addresses of houses,
 * codes and passwords, and every number of five figures or more that no unit follows. Each leaves a word in brackets.
 *
 * @param text - any text
 * @returns the text with each find replaced; the same again when given to it again
 * @validity English, and the commonest forms of German, French and Spanish addresses; names of people stay. It rather
 *   takes out too much: a date written in figures goes as well
 * @source judgement
 * @example redact('my code is 4471, call 555-0142') // 'my code is [code], call [phone]'
 */
export function redact(text: string): string {
  return STEPS.reduce((rest, step) => step(rest), text)
}
