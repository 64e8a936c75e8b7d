import { PROTECTIONS } from '../../domain/advice/protection.ts'
import type { AffectsStated } from '../affects-shape.ts'
import type { Condition } from '../shape.ts'
import { isOfOverlay, type Rule } from './rule.ts'

const losses = (affects: AffectsStated) => PROTECTIONS.flatMap((name) => affects[name] ?? [])

/** What is wrong with a statement of what a condition takes away, and how to mend it; first fault only. */
function faultOf({ affects, severity }: Condition): [message: string, remedy: string] | undefined {
  if (!affects)
    return [
      'does not state what it takes away',
      'Add affects: for each function it touches the loss, and the basis; the basis alone where it touches none',
    ]
  const { lasts } = affects
  if (losses(affects).includes('until-battery-ends') && !lasts)
    return ['works until a battery ends, but names no battery', 'Add affects.lasts with the battery and its range']
  if (lasts?.low !== undefined && lasts.high !== undefined && lasts.low > lasts.high)
    return [`lasts ${lasts.low} to ${lasts.high} h`, 'Put the lower end of affects.lasts first']
  if ((severity === 'life-safety' || severity === 'security-lost') && losses(affects).length === 0)
    return [
      `is of ${severity} and takes nothing away`,
      'Add the functions it touches to affects or correct the severity',
    ]
  return undefined
}

/** Every active condition of a release states what it takes away, in keeping with its severity. */
export const conditionsStateProtection: Rule = ({ condition }) =>
  condition
    .filter((stated) => stated.status === 'active' && !isOfOverlay(stated))
    .flatMap((stated) => {
      const fault = faultOf(stated)
      if (!fault) return []
      return [{ rule: 'conditions-state-protection', id: stated.id, message: fault[0], remedy: fault[1] }]
    })
