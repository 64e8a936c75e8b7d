import type { Contradiction } from '../domain/parts/contradictions.ts'
import type { PartClass } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

const WAY_OUT = new Map([
  [
    'capacityAh',
    'A smaller battery runs out early, a larger one is never fully charged: lower the load or the hours, or have a larger supply fitted.',
  ],
  [
    'rechargeable',
    'A cell that cannot be recharged may burst in a holder that charges it: fit only what the device itself names.',
  ],
  ['nominalVoltageV', 'Another voltage destroys the device or leaves it dead: read both labels again.'],
  ['chemistry', 'Another chemistry is charged wrongly or not at all, and can burn: read both labels again.'],
  ['voltageKind', 'AC and DC are never exchanged, at equal volts neither: read the label of the panel again.'],
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
