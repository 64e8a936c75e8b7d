import { type Interpretation, interpret } from '../../src/domain/words/interpret.ts'
import { keyOf, type Lexicon, type LexiconEntry } from '../../src/domain/words/lexicon.ts'
import { prepareLexicon } from '../../src/domain/words/prepare.ts'

const phrases = (...texts: string[]) => texts.map((text) => ({ text, weight: 1, language: 'en-US' }))
const entry = (id: string, kind: LexiconEntry['kind'], ...texts: string[]): LexiconEntry => ({
  id,
  kind,
  phrases: phrases(...texts),
})

/** A lexicon of a few entries of each kind, apart from any release. */
export const SMALL_LEXICON: Lexicon = {
  language: 'en-US',
  entries: [
    entry('condition/mains', 'condition', 'no power', 'mains missing', 'mains fault'),
    entry('condition/battery', 'condition', 'battery low', 'panel battery low'),
    entry('condition/sensor-battery', 'condition', 'sensor battery low'),
    entry('condition/arming', 'condition', 'will not arm'),
    entry('condition/tamper', 'condition', 'sensor tamper', 'cover open'),
    entry('condition/line', 'condition', 'phone line missing', 'phone line fault'),
    entry('condition/loop', 'condition', 'sensor wire broken'),
    { ...entry('condition/unspecified', 'condition', 'beeping', 'trouble light'), isLastResort: true },
    entry('context/storm', 'context', 'thunderstorm'),
    { ...entry('check/smoke', 'danger', 'smell smoke', 'see smoke', 'burning'), result: 'burning' },
    { ...entry('check/siren', 'danger', 'siren sounding'), result: 'sounding' },
    { ...entry('check/breaker', 'check-result', 'breaker tripped'), result: 'tripped' },
    { ...entry('reading/battery', 'reading', 'battery'), measured: { unit: 'V', low: 0, high: 16 } },
    { ...entry('reading/loop', 'reading', 'loop', 'sensor wire'), measured: { unit: 'Ohm', low: 0, high: 1e6 } },
  ],
  same: [
    ['mains', 'ac'],
    ['battery', 'bat'],
    ['sensor', 'detector'],
    ['missing', 'lost', 'not respond'],
  ],
  twoMeanings: [{ word: 'line', said: ['line', 'line trouble'], between: ['condition/line', 'condition/loop'] }],
}
const small = prepareLexicon(SMALL_LEXICON)

/** What the small lexicon makes of a text. */
export const hearSmall = (text: string): Interpretation => interpret(small, text)
export const present = (text: string) =>
  hearSmall(text)
    .suggestions.filter(({ state }) => state === 'present')
    .map(keyOf)
export const absent = (text: string) =>
  hearSmall(text)
    .suggestions.filter(({ state }) => state === 'absent')
    .map(keyOf)
export const dangers = (text: string) => hearSmall(text).dangers.map(keyOf)
