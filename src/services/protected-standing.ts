import type { Advice } from '../domain/advice/advise.ts'
import { holdsSurely } from '../domain/advice/gathered.ts'
import { type Affects, isAtLeast, isOnMainBattery, PROTECTIONS } from '../domain/advice/protection.ts'
import type { AffectsStated } from '../ontology/affects-shape.ts'
import type { Condition } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

/** A basis in words. */
export const BASIS_WORDS = {
  published: 'published',
  judgement: 'judgement of this ontology',
  practice: 'common practice, no source',
} as const

/** A condition's statement as the core takes it. */
function affectsOf(stated: AffectsStated | undefined): Affects | undefined {
  if (!stated) return undefined
  const losses = Object.fromEntries(PROTECTIONS.flatMap((name) => (stated[name] ? [[name, stated[name]]] : [])))
  if (!stated.lasts) return { losses }
  const { battery, low, high } = stated.lasts
  const range = { ...(low === undefined ? {} : { lowHours: low }), ...(high === undefined ? {} : { highHours: high }) }
  return { losses, lasts: { battery, ...range } }
}

/** Conditions that one finding reports and another denies: until that is settled they count as standing. */
const disputedIn = ({ known }: Advice) =>
  known.contradictions.flatMap(({ about }) => {
    const condition = known.index.condition.get(about)
    return condition === undefined ? [] : [{ condition, device: undefined }]
  })

/** Each condition that stands, with what it states. */
export function standingOf(advice: Advice, wording: Wording) {
  const { release } = advice.known.instance
  return [...advice.known.present, ...disputedIn(advice)].map(({ condition, device }) => {
    const { id, affects } = wording.concept<Condition>(release.conditions[condition]!.id)
    const named = { condition: id, ...(device === undefined ? {} : { device }), label: wording.label(id) }
    return { named, stated: affects, affects: affectsOf(affects) }
  })
}
export type Standing = ReturnType<typeof standingOf>

const ON_BATTERY_NOW = 'The alarm runs on this battery now, and it may stop at any moment.'
const SHORT_ON_BATTERY = 'The alarm runs on this battery now, and it may stop early.'

/** What a battery item means while the alarm runs on that battery: its own words speak of a power cut still to come. */
function onBatteryNow(item: Standing[number], standing: Standing): string | undefined {
  const { affects } = item
  const reserve = affects?.losses['power-reserve']
  if (reserve === undefined || affects?.lasts?.battery !== 'main' || Object.keys(affects.losses).length > 1)
    return undefined
  const others = standing.flatMap((one) => (one !== item && one.affects ? [one.affects] : []))
  if (!isOnMainBattery(others)) return undefined
  return isAtLeast(reserve, 'doubtful') ? ON_BATTERY_NOW : SHORT_ON_BATTERY
}

/** What each condition that stands takes away from the owner, in words. */
export function wordProtection(advice: Advice, wording: Wording) {
  const standing = standingOf(advice, wording).slice(0, advice.known.present.length)
  return standing.map((item) => ({
    ...item.named,
    text: onBatteryNow(item, standing) ?? wording.say(wording.concept<Condition>(item.named.condition).protection),
  }))
}

/** Whether a circumstance is known to hold, as surely as a safety condition must. */
export function doesHold({ known }: Advice, context: string | undefined): boolean {
  const index = context === undefined ? undefined : known.index.context.get(context)
  return index !== undefined && holdsSurely(known, index)
}
