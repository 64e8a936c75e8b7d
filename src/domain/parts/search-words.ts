import { plain } from '../words/tokens.ts'
import { otherNames } from './designations/names.ts'
import type { Item } from './types.ts'

/** Raised whenever an item's words change, so that indexes written before are written anew. */
export const WORDS_VERSION = 2

/** Letters and digits, with a decimal mark between digits and hyphens between pieces of a number or code. */
const RUN = /[\p{L}\p{N}]+(?:[.,](?=\p{N})\p{N}+[\p{L}\p{N}]*|-[\p{L}\p{N}]+)*/gu
/** Units that stand apart from their number as often as joined to it. */
const UNIT = /^(?:v|vac|vdc|mv|kv|a|ma|ah|mah|w|mw|va|ohm|k|kohm|r|mm|cm|m|mm2|hz|mhz|db|dba)$/
const BARE_NUMBER = /^\d+(?:\.\d+)?$/
const LONGEST_WORD = 40
const MOST_WORDS = 200

/** A piece of what somebody wrote, with every form under which it may be written elsewhere. */
export interface SearchUnit {
  written: string
  /** Each form is found where all of its words are. */
  forms: string[][]
  /** A number or a code: found exactly or not at all. */
  isNumber: boolean
}

/** "7,20" and "7.2" are one number; "1,200" stays as it is, since nobody can tell what it means. */
function plainNumber(text: string): string {
  return text.replace(/\d+[.,]\d+/g, (number) => {
    const decimal = number.replace(',', '.')
    return /[.,]\d{3}$/.test(number) ? decimal : decimal.replace(/\.?0+$/, '')
  })
}

/** 16.5vac is as often written 16.5v ac. */
const KIND_OF_VOLTS = /^(\d+(?:\.\d+)?v)(ac|dc)$/

function formsOf(run: string): string[][] {
  const volts = KIND_OF_VOLTS.exec(run)
  if (volts) return [[run], [volts[1]!, volts[2]!]]
  const pieces = run.split('-').filter((piece) => piece !== '')
  if (pieces.length < 2) return [[run]]
  return /\d/.test(run) ? [pieces, [pieces.join('')]] : [pieces]
}

/** Units of a text in order; a number and the unit behind it are one. */
export function searchUnits(text: string): SearchUnit[] {
  const spoken = plain(text.normalize('NFKC').replace(/[\u2126\u03a9]/g, 'ohm'))
  const runs = [...spoken.matchAll(RUN)].map(([run]) => plainNumber(run).slice(0, LONGEST_WORD))
  const units: SearchUnit[] = []
  for (let at = 0; at < runs.length && units.length < MOST_WORDS; at++) {
    const [run, next] = [runs[at]!, runs[at + 1]]
    const isMeasured = next !== undefined && BARE_NUMBER.test(run) && UNIT.test(next)
    const written = isMeasured ? run + next : run
    if (isMeasured) at++
    units.push({ written, forms: formsOf(written), isNumber: /\d/.test(written) })
  }
  return units
}

/** Every word under which a text is found. */
function wordsOf(text: string): string[] {
  return [...new Set(searchUnits(text).flatMap(({ forms }) => forms.flat()))]
}

export interface ItemWords {
  title: string[]
  numbers: string[]
  others: string[]
}

/** An attribute's unit as it ends the attribute's name: capacityAh is found as 7ah, lengthMm as 151mm. */
const UNIT_IN_NAME = /[a-z](V|Ah|Mm|W|Ohm|VA|A|MHz|Db|M)$/

/** What the trade also says for a kind of part, by a word of its class. Common practice, no source. */
const ALSO_SAID: Readonly<Record<string, string>> = {
  vrla: 'sla sealed lead acid',
  'supply-ac': 'transformer',
  'end-of-line': 'eol',
}
const alsoSaid = (partClass: string) =>
  Object.entries(ALSO_SAID).flatMap(([word, others]) => (partClass.includes(word) ? [others] : []))

function attributeWords([name, value]: [string, unknown]): string[] {
  if (typeof value === 'string')
    return wordsOf(name.endsWith('izeName') ? [value, ...otherNames(value)].join(' ') : value)
  if (typeof value !== 'number') return []
  const unit = UNIT_IN_NAME.exec(name)?.[1]
  return unit === undefined ? [] : wordsOf(`${value} ${unit}`)
}

/**
 * The words by which an item is found: of its title, of its numbers and codes, and of everything else that is stated.
 *
 * @param item - an item of a catalogue
 * @example itemWords({ sku: 'B-7', partClass: 'part-class/cell', title: 'Cell 3 V', attributes: {} }).title // ['cell', '3v']
 */
export function itemWords(
  item: Pick<Item, 'sku' | 'partClass' | 'title' | 'attributes' | 'gtin14' | 'mpn' | 'brand'>,
): ItemWords {
  const { sku, gtin14 = '', mpn = '', brand = '', partClass, attributes } = item
  const kind = partClass.slice(partClass.indexOf('/') + 1).replaceAll('-', ' ')
  const numbers = [sku, mpn, gtin14, gtin14.replace(/^0+/, '')].flatMap(wordsOf)
  const others = [
    ...wordsOf([brand, kind, ...alsoSaid(partClass)].join(' ')),
    ...Object.entries(attributes).flatMap(attributeWords),
  ]
  return { title: wordsOf(item.title), numbers: [...new Set(numbers)], others: [...new Set(others)] }
}
