import type { Ontology, PartClass } from '../shape.ts'
import { type Fault, isOfOverlay, type Rule } from './rule.ts'

type Attribute = PartClass['attributes'][number]
type Say = (message: string, remedy: string) => Fault

const typeOf = { number: 'number', text: 'string', boolean: 'boolean' } as const

function isOfAttribute({ type, values }: Attribute, value: unknown): boolean {
  return typeof value === typeOf[type] && (values === undefined || type !== 'text' || values.includes(String(value)))
}

function fitFaults({ name, fit, ...rest }: Attribute, isOverlaid: boolean, say: Say): Fault[] {
  if (!fit) return isOverlaid ? [] : [say(`does not say how ${name} decides`, `Give ${name} a fit`)]
  const stated = [fit.fixed, fit.prefer, ...(fit.order ?? [])].filter((value) => value !== undefined)
  return stated
    .filter((value) => !isOfAttribute({ name, ...rest }, value))
    .map((value) => say(`says ${value} of ${name}, which ${name} cannot be`, 'Use a value of its type and list'))
}

/** A swap names attributes that both classes have; one of safety is on a condition, or cannot be. */
function substituteFaults(classes: ReadonlyMap<string, PartClass>, partClass: PartClass, say: Say): Fault[] {
  const attributeOf = (id: string, name: string) => classes.get(id)?.attributes.find((one) => one.name === name)
  return (partClass.substitutes ?? []).flatMap(({ id, swaps, conditions, partClass: other, with: piece }) => {
    const swapFaults = swaps.flatMap(({ attribute, required, candidate }) => {
      const [own, theirs] = [attributeOf(partClass.id, attribute), attributeOf(other ?? partClass.id, attribute)]
      if (own === undefined || theirs === undefined)
        return [say(`${id} swaps ${attribute}, which a class does not have`, 'Name an attribute of both classes')]
      if (!isOfAttribute(own, required) || !isOfAttribute(theirs, candidate))
        return [say(`${id} swaps a value that ${attribute} cannot be`, 'Use values of its type and list')]
      return own.role === 'safety' && conditions.length === 0
        ? [say(`${id} swaps ${attribute}, a matter of safety, on no condition`, 'Name what has to be made sure of')]
        : []
    })
    const pieceFaults = Object.entries(piece?.attributes ?? {})
      .filter(([name, value]) => {
        const attribute = attributeOf(piece!.partClass, name)
        return attribute === undefined || !isOfAttribute(attribute, value)
      })
      .map(([name]) => say(`${id} comes with a piece whose ${name} cannot be so`, 'Name an attribute of that class'))
    return [...swapFaults, ...pieceFaults]
  })
}

/** Every attribute of a released class says how it decides, with values it can have; every substitute swaps what is there, safety on a condition only. */
export const partsFit: Rule = (ontology: Ontology) => {
  const classes = new Map(ontology['part-class'].map((one) => [one.id, one]))
  return ontology['part-class'].flatMap((partClass) => {
    const say: Say = (message, remedy) => ({ rule: 'parts-fit', id: partClass.id, message, remedy })
    return [
      ...partClass.attributes.flatMap((attribute) => fitFaults(attribute, isOfOverlay(partClass), say)),
      ...substituteFaults(classes, partClass, say),
    ]
  })
}
