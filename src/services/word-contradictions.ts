import type { Contradiction } from '../domain/parts/contradictions.ts'
import type { PartClass } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

const WAY_OUT = new Map([
  [
    'capacityAh',
    'A smaller battery runs out early, a larger one is never fully charged: lower the load or the hours, or have a larger supply fitted.',
  ],
])
const READ_AGAIN = 'Read both again before anything is sold.'

/** Demands that no part can meet together, said plainly with both sides. */
export function wordContradictions(wording: Wording, partClass: PartClass, contradictions: readonly Contradiction[]) {
  return contradictions.map(({ attribute, isSafety, between }) => {
    const spec = partClass.attributes.find(({ name }) => name === attribute)
    const label = spec ? wording.say(spec.label) : attribute
    const unit = spec?.unit ? ` ${spec.unit}` : ''
    const [one, other] = between.map(({ required, origin }) => `${required}${unit} (${origin})`)
    const wayOut = WAY_OUT.get(attribute) ?? READ_AGAIN
    return { attribute, isSafety, between, say: `${label}: ${one} against ${other}. No part meets both. ${wayOut}` }
  })
}
