import { ageMonths } from '../domain/parts/age.ts'
import type { Item } from '../domain/parts/types.ts'
import type { PartClass } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

/** What a shop has to know when it sells a part of the class, in its region where one is given. */
export function wordSale(wording: Wording, { sale = [] }: PartClass, region: string | undefined) {
  return sale
    .filter((note) => region === undefined || note.region === 'world' || note.region === region)
    .map(({ id, kind, region: of, say, unNumbers, months, basis, source, note }) => ({
      note: id,
      kind,
      region: of,
      say: wording.say(say),
      ...(unNumbers ? { unNumbers } : {}),
      ...(months === undefined ? {} : { duration: { value: months, unit: 'mo' } }),
      basis: source ?? basis,
      ...(note === undefined ? {} : { remark: note }),
    }))
}

/** Months in store after which a part of the class is charged or tested; undefined where none is stated. */
const shelfMonths = ({ sale = [] }: PartClass) => sale.find(({ kind }) => kind === 'shelf-age')?.months

function ageWarning(partClass: PartClass, { madeOn }: Item, on: string | undefined) {
  const limit = shelfMonths(partClass)
  if (limit === undefined || madeOn === undefined) return []
  if (on === undefined)
    return [{ code: 'AGE_NOT_JUDGED', message: `Made on ${madeOn}; send the day as "at" to have its age judged.` }]
  const months = ageMonths(madeOn, on)
  if (months === undefined || months <= limit) return []
  const whole = Math.floor(months)
  return [
    {
      code: 'AGED_STOCK',
      message: `Made ${whole} months ago: after ${limit} months in store it is charged again and tested before it is sold.`,
    },
  ]
}

/** What an item itself says that a caller should hear before buying. */
export function wordItemWarnings(partClass: PartClass, item: Item, on: string | undefined) {
  return [
    ...ageWarning(partClass, item, on),
    ...(item.isDiscontinued
      ? [{ code: 'DISCONTINUED', message: 'No longer made: what is in stock is the last of it.' }]
      : []),
    ...(item.needsInstaller
      ? [{ code: 'NEEDS_INSTALLER', message: 'Needs an installer: ask who will fit it before it is sold.' }]
      : []),
    ...(item.needsActivation
      ? [{ code: 'NEEDS_ACTIVATION', message: 'Needs to be activated or taught in: ask by whom before it is sold.' }]
      : []),
  ]
}
